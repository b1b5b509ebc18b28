import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0007_skis_back"),
    ]

    operations = [
        migrations.CreateModel(
            name="Season",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=80)),
                ("starts_on", models.DateField()),
                ("ends_on", models.DateField()),
                ("fill_percent", models.PositiveSmallIntegerField(null=True)),
                (
                    "cover",
                    models.CharField(
                        choices=[
                            ("tight", "tight"),
                            ("usual", "usual"),
                            ("ample", "ample"),
                            ("full", "full"),
                        ],
                        default="usual",
                        max_length=5,
                    ),
                ),
                ("put_away_days", models.PositiveSmallIntegerField(null=True)),
                ("an_order", models.BigIntegerField(null=True)),
            ],
        ),
        migrations.AddField(
            model_name="supplier",
            name="closed",
            field=models.JSONField(default=list),
        ),
        migrations.CreateModel(
            name="Order",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("order_by", models.DateField(null=True)),
                ("sent_on", models.DateField(null=True)),
                ("promised_on", models.DateField(null=True)),
                ("freight", models.BigIntegerField(null=True)),
                ("given_up", models.BooleanField(default=False)),
                (
                    "supplier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="inventory.supplier",
                    ),
                ),
                (
                    "season",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="inventory.season",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="OrderLine",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("article", models.CharField(blank=True, max_length=60)),
                ("pack", models.BigIntegerField()),
                ("packs", models.PositiveIntegerField()),
                ("price", models.BigIntegerField(null=True)),
                ("lead_days", models.PositiveSmallIntegerField(null=True)),
                ("ended", models.BooleanField(default=False)),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.material"
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="inventory.order",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Ruling",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                (
                    "cover",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("tight", "tight"),
                            ("usual", "usual"),
                            ("ample", "ample"),
                            ("full", "full"),
                        ],
                        max_length=5,
                    ),
                ),
                ("packs", models.PositiveIntegerField(null=True)),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.material"
                    ),
                ),
                (
                    "offer",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="inventory.offer",
                    ),
                ),
                (
                    "season",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rulings",
                        to="inventory.season",
                    ),
                ),
            ],
        ),
    ]
