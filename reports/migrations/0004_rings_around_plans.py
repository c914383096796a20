from django.db import migrations

from fleet.platform.database import row_security

# Columns that came to a table which is confined already.
NEW_REFERENCES = {
    "machine_id": "fleet_machine",
    "plan_id": "reports_reportplan",
}


def statements(column, table):
    name = f"reports_report_{column}_same"
    return migrations.RunSQL(
        sql=f'ALTER TABLE reports_report ADD CONSTRAINT "{name}" '
        f"FOREIGN KEY (contractor_id, {column}) "
        f"REFERENCES {table} (contractor_id, id) DEFERRABLE INITIALLY DEFERRED",
        reverse_sql=f'ALTER TABLE reports_report DROP CONSTRAINT "{name}"',
    )


class Migration(migrations.Migration):
    """The second ring around plans and deliveries."""

    dependencies = [("reports", "0003_plans_and_deliveries")]

    operations = [
        row_security.ConfineToContractor("ReportPlan", "Delivery", "RefusedAddress"),
        *(statements(column, table) for column, table in NEW_REFERENCES.items()),
    ]
