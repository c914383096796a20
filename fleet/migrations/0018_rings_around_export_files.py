from django.db import migrations

from fleet.platform.database import change_log, row_security


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0017_export_files'),
    ]

    operations = [
        row_security.ConfineToContractor("ExportFile"),
        change_log.Recorded("ExportFile", ignored=("fetched_at",)),
    ]
