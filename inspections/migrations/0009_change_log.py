from django.db import migrations

from fleet.platform.database import change_log


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0007_changes'),
        ('inspections', '0008_current_findings'),
    ]

    operations = [
        # One line for each upload; its readings are never edited and name it.
        change_log.Recorded("Upload", ignored=("answer",), events=("INSERT",)),
        change_log.Recorded("Gauge", "VisitPhoto", "PlannedWork", "PlanningRule"),
        change_log.Recorded("ReadingReview", "Terms", events=("INSERT",)),
        change_log.Recorded("CalendarFeed", hidden=("digest",)),
    ]
