import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0006_bench")]

    operations = [
        migrations.CreateModel(
            name="Recall",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=120)),
                ("failure", models.CharField(max_length=20)),
                ("may_hurt", models.BooleanField(default=True)),
                ("roots", models.JSONField(default=list)),
                ("rule", models.PositiveSmallIntegerField()),
                ("opened_on", models.DateField()),
                ("authority", models.CharField(default="not asked yet", max_length=20)),
                ("closed_on", models.DateField(null=True)),
                ("learned", models.CharField(blank=True, max_length=2000)),
            ],
        ),
        migrations.CreateModel(
            name="WarrantyTerms",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=80)),
                ("from_on", models.DateField()),
                ("to_on", models.DateField()),
                ("months", models.PositiveSmallIntegerField()),
                ("not_for", models.JSONField(default=list)),
                ("source", models.CharField(blank=True, max_length=400)),
            ],
        ),
        migrations.CreateModel(
            name="MockRecall",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("tried_at", models.DateTimeField()),
                ("result", models.JSONField(default=dict)),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.thing"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Told",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("state", models.CharField(default="to tell", max_length=12)),
                ("means", models.CharField(blank=True, max_length=12)),
                ("passed_on", models.BooleanField(default=False)),
                ("on", models.DateField(null=True)),
                (
                    "pair",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="told", to="inventory.pair"
                    ),
                ),
                (
                    "recall",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="told",
                        to="inventory.recall",
                    ),
                ),
            ],
        ),
    ]
