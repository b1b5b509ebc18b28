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
        migrations.CreateModel(
            name="TripRecord",
            fields=[
                (
                    "trip",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="record",
                        serialize=False,
                        to="inventory.trip",
                    ),
                ),
                ("saved_us", models.CharField(blank=True, max_length=2000)),
                ("failed", models.CharField(blank=True, max_length=2000)),
                ("next_time", models.CharField(blank=True, max_length=2000)),
                ("taught", models.JSONField(default=list)),
                ("numbers", models.JSONField(default=dict)),
            ],
        ),
        migrations.CreateModel(
            name="UsageFactor",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("lowest", models.FloatField()),
                ("expected", models.FloatField()),
                ("highest", models.FloatField()),
                ("pairs", models.PositiveIntegerField()),
                ("trips", models.PositiveIntegerField()),
                ("ended", models.BooleanField(default=False)),
                (
                    "layup",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="factors",
                        to="inventory.layupcard",
                    ),
                ),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="factors",
                        to="inventory.material",
                    ),
                ),
            ],
        ),
    ]
