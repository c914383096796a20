from django.db import migrations

from fleet.platform.database import change_log


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0007_changes'),
        ('reports', '0004_rings_around_plans'),
    ]

    operations = [
        change_log.Recorded("ReportPlan", ignored=("next_due_at",)),
        # What a report says is frozen and has a checksum; it is not repeated.
        change_log.Recorded("Report", ignored=("content",)),
        # Tries at sending are the server's; that it was to be sent is someone's.
        change_log.Recorded("Delivery", hidden=("link_key",), events=("INSERT",)),
        change_log.Recorded("RefusedAddress"),
    ]
