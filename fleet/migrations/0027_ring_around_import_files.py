from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0026_import_files'),
    ]

    operations = [
        row_security.ConfineToContractor("ImportFile"),
    ]
