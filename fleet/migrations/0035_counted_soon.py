from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0034_readers_end_with_their_owner"),
    ]

    operations = [
        row_security.CountSoon(),
    ]
