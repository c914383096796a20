from django.db import migrations

from fleet.platform.database import change_log, row_security

# Findings that stood before there were stops: a job for each contractor raises theirs
# and mails nobody.
_TAKE_OVER = """
INSERT INTO fleet_job
    (kind, contractor_id, subject_id, key, due_at, state, attempts, problem)
SELECT 'inspections.tasks.take_over_stops', id, id, id::text, now(), 'QUEUED', 0, ''
FROM fleet_contractor WHERE retired_on IS NULL
ON CONFLICT (kind, contractor_id, key) WHERE state = 'QUEUED' DO NOTHING
"""


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0016_stops'),
    ]

    operations = [
        row_security.ConfineToContractor("Stop", "StopEvent", "BulkRelease"),
        row_security.AppendOnly("StopEvent"),
        change_log.Recorded("Stop", "BulkRelease"),
        migrations.RunSQL(_TAKE_OVER, migrations.RunSQL.noop),
    ]
