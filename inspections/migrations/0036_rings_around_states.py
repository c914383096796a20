from django.db import migrations

from fleet.platform.database import marks, row_security


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0035_machine_states'),
    ]

    operations = [
        row_security.ConfineToContractor("MachineState", "StateMark"),
        marks.RowForEachMachine("MachineState"),
        marks.MarkMachines(
            "Assessment", "Finding", "Forecast", "Reading", "Stop", mark="StateMark"
        ),
    ]
