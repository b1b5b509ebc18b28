from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0002_pairs")]

    operations = [
        migrations.AddField(model_name="machine", name="backed_up_at", field=models.DateTimeField(null=True)),
    ]
