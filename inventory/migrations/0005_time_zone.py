from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0004_ski_out"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="time_zone",
            field=models.CharField(blank=True, default="", max_length=64),
            preserve_default=False,
        ),
    ]
