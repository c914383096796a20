from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0049_moved_to_another_visit"),
    ]

    operations = [
        row_security.CountSoon(),
    ]
