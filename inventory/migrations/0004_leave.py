from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0003_day")]

    operations = [
        migrations.AddField("equipment", "air_kpa", models.FloatField(null=True)),
        migrations.AddField("equipment", "air_l_min", models.FloatField(null=True)),
        migrations.AddField("equipment", "charge_mg", models.BigIntegerField(null=True)),
        migrations.AddField("equipment", "circuit", models.CharField(blank=True, max_length=40)),
        migrations.AddField("equipment", "closing_hands", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "closing_min", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "contents", models.CharField(blank=True, max_length=20)),
        migrations.AddField("equipment", "cool_min", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "fuel_l_h", models.FloatField(null=True)),
        migrations.AddField("equipment", "heat_up_min", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "heated", models.BooleanField(null=True)),
        migrations.AddField("equipment", "holds_c", models.FloatField(null=True)),
        migrations.AddField("equipment", "opening_hands", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "opening_min", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("equipment", "takes_pairs", models.PositiveSmallIntegerField(null=True)),
        migrations.AddField("material", "container_mg", models.BigIntegerField(null=True)),
        migrations.AddField("material", "container_ul", models.BigIntegerField(null=True)),
        migrations.AddField("guest", "size", models.CharField(blank=True, max_length=20)),
        migrations.AddField("person", "size", models.CharField(blank=True, max_length=20)),
        migrations.AddField("shop", "reserve_percent", models.PositiveSmallIntegerField(default=0)),
        migrations.AddField("shop", "spare_pairs", models.PositiveSmallIntegerField(default=1)),
        migrations.AddField("trip", "road_high_c", models.FloatField(null=True)),
        migrations.AddField("trip", "road_low_c", models.FloatField(null=True)),
        migrations.AddField(
            "trip",
            "rules",
            models.CharField(
                blank=True, choices=[("", ""), ("adr", "adr"), ("trade", "trade")], max_length=5
            ),
        ),
    ]
