from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    dependencies = [
        ("reports", "0011_rope_order"),
    ]

    operations = [
        row_security.CountSoon(),
    ]
