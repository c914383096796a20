from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inspections", "0017_rings_around_stops")]

    operations = [
        migrations.AddConstraint(
            model_name="upload",
            constraint=models.UniqueConstraint(
                fields=("contractor", "membership_id", "key"),
                name="upload_key_once_a_person",
            ),
        ),
        migrations.RemoveConstraint(model_name="upload", name="upload_key_once"),
    ]
