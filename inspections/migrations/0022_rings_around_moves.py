from django.db import migrations

from fleet.platform.database import change_log, row_security

# New references on an older table: their composite keys, as row_security.py has them.
_SAME_CONTRACTOR = """
ALTER TABLE inspections_urgentmail
    ADD CONSTRAINT inspections_urgentmail_stop_event_id_same
    FOREIGN KEY (contractor_id, stop_event_id)
    REFERENCES inspections_stopevent (contractor_id, id)
    DEFERRABLE INITIALLY DEFERRED,
    ADD CONSTRAINT inspections_urgentmail_visit_move_id_same
    FOREIGN KEY (contractor_id, visit_move_id)
    REFERENCES inspections_visitmove (contractor_id, id)
    DEFERRABLE INITIALLY DEFERRED;
"""
_UNDO = """
ALTER TABLE inspections_urgentmail
    DROP CONSTRAINT inspections_urgentmail_stop_event_id_same,
    DROP CONSTRAINT inspections_urgentmail_visit_move_id_same;
"""


class Migration(migrations.Migration):

    dependencies = [
        ('inspections', '0021_moves_and_mails_of_stops'),
    ]

    operations = [
        row_security.ConfineToContractor("VisitMove"),
        row_security.AppendOnly("VisitMove"),
        change_log.Recorded("VisitMove", events=("INSERT",)),
        migrations.RunSQL(_SAME_CONTRACTOR, reverse_sql=_UNDO),
    ]
