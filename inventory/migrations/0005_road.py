import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0004_leave")]

    operations = [
        migrations.CreateModel(
            name="Logger",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=80)),
                ("serial", models.CharField(blank=True, max_length=40)),
                ("shape", models.JSONField(default=dict)),
                ("zone", models.CharField(max_length=60)),
                ("probe", models.CharField(blank=True, max_length=80)),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="loggers",
                        to="inventory.thing",
                    ),
                ),
            ],
        ),
    ]
