from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0002_pairs")]

    operations = [
        migrations.AddField("machine", "backed_up_at", models.DateTimeField(null=True)),
        migrations.AddField(
            "package",
            "written_in",
            models.CharField(blank=True, default="", max_length=16),
            preserve_default=False,
        ),
        migrations.AddField(
            "offer", "gtin", models.CharField(blank=True, default="", max_length=14), preserve_default=False
        ),
        migrations.AddField(
            "person",
            "units",
            models.CharField(
                blank=True, choices=[("metric", "metric"), ("us", "us")], default="", max_length=6
            ),
            preserve_default=False,
        ),
    ]
