from django.db import migrations

from fleet.platform.database import change_log, row_security


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0038_scenarios'),
    ]

    operations = [
        row_security.ConfineToContractor("Scenario"),
        change_log.Recorded("Scenario"),
    ]
