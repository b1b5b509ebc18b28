import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0005_road")]

    operations = [
        migrations.AddField(
            model_name="equipment",
            name="bladders_mm",
            field=models.JSONField(default=list),
        ),
        migrations.AddField(
            model_name="equipment",
            name="part_of",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="pressed_parts",
                to="inventory.thing",
            ),
        ),
        migrations.AddField(
            model_name="workshop",
            name="closed_on",
            field=models.DateField(null=True),
        ),
        migrations.AlterField(
            model_name="disagreement",
            name="trouble",
            field=models.CharField(
                choices=[
                    ("short", "short"),
                    ("count apart", "count apart"),
                    ("moved apart", "moved apart"),
                    ("used while held", "used while held"),
                    ("press closed twice", "press closed twice"),
                    ("reversal suspended", "reversal suspended"),
                    ("same act differs", "same act differs"),
                    ("one code two things", "one code two things"),
                    ("card edited twice", "card edited twice"),
                ],
                max_length=24,
            ),
        ),
    ]
