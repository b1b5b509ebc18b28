from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("inventory", "0007_skis_back")]

    operations = []
