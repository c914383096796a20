from django.db import migrations

from fleet.platform.database import marks


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0042_calendars_made_by_keys'),
    ]

    operations = [
        marks.MarkMachinesOfErased("MachineState"),
    ]
