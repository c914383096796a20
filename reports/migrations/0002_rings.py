from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):
    """The second ring around reports."""

    dependencies = [("reports", "0001_initial"), ("fleet", "0002_rings")]

    operations = [row_security.ConfineToContractor("Report")]
