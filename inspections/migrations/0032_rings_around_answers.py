from django.db import migrations

from fleet.platform.database import change_log, row_security


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0031_owner_answers'),
    ]

    operations = [
        row_security.ConfineToContractor("OwnerAnswer"),
        change_log.Recorded("OwnerAnswer"),
    ]
