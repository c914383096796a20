from django.db import migrations

from fleet.platform.database import row_security


def _same(column, target):
    """Tie a new reference of the forecast, which is confined already, to its tenant."""
    name = f"inspections_forecast_{column}_same"
    return migrations.RunSQL(
        sql=(
            f'ALTER TABLE "inspections_forecast" ADD CONSTRAINT "{name}" '
            f"FOREIGN KEY (contractor_id, {column}) "
            f'REFERENCES "{target}" (contractor_id, id) DEFERRABLE INITIALLY DEFERRED'
        ),
        reverse_sql=f'ALTER TABLE "inspections_forecast" DROP CONSTRAINT "{name}"',
    )


class Migration(migrations.Migration):
    """The second ring around tracks, runs and what is learnt.

    The shared prior stands outside: it belongs to no contractor.
    """

    dependencies = [("inspections", "0003_forecast_runs")]

    operations = [
        row_security.ConfineToContractor(
            "Hyperparameters",
            "ForecastRun",
            "ForecastScore",
            "PlanningRule",
            "WearTrack",
            "TrackPoint",
        ),
        _same("track_id", "inspections_weartrack"),
        _same("run_id", "inspections_forecastrun"),
    ]
