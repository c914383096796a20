from django.db import migrations

from fleet.platform.database import row_security


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0020_sent_forms'),
    ]

    operations = [
        row_security.ConfineToContractor("SentForm"),
    ]
