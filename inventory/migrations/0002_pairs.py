from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name="BuildStep",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("key", models.SlugField(max_length=30, unique=True)),
                ("label", models.CharField(max_length=60)),
                ("position", models.FloatField()),
                (
                    "who",
                    models.CharField(
                        choices=[
                            ("anyone", "anyone"),
                            ("18 and over only", "18 and over only"),
                            ("the crew only", "the crew only"),
                        ],
                        max_length=20,
                    ),
                ),
                ("ended", models.BooleanField(default=False)),
            ],
        ),
        migrations.AddField(
            model_name="artwork",
            name="wanted_colours",
            field=models.CharField(blank=True, max_length=10),
        ),
        migrations.AddField(
            model_name="person",
            name="under_18",
            field=models.BooleanField(default=False),
        ),
    ]
