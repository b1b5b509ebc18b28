import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0003_limits"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="ski",
            name="one_ski_a_side",
        ),
        migrations.AddField(
            model_name="ski",
            name="was_of",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="skis_out",
                to="inventory.pair",
            ),
        ),
        migrations.AlterField(
            model_name="ski",
            name="pair",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="skis",
                to="inventory.pair",
            ),
        ),
    ]
