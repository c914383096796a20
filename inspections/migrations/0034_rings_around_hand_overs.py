from django.db import migrations

from fleet.platform.database import change_log, row_security


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0033_hand_overs'),
    ]

    operations = [
        row_security.ConfineToContractor("HandOver", "HandedRow"),
        row_security.AppendOnly("HandedRow"),
        change_log.Recorded("HandOver", ignored=("content_digest",)),
    ]
