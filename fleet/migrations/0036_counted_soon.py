from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0035_jobs_put_off"),
    ]

    operations = [
        row_security.CountSoon(),
    ]
