"""What was read, what it means and what was decided, on its way out."""

from fleet.register.exchange.exporting import Outgoing, Register
from fleet.register.exchange.tables import TenantTable
from inspections import models, queries
from inspections.exchange.exporting import ReadingsTable, Reviews
from inspections.exchange.gauges import GAUGES

_SECRET = ("digest", "key_id")

OUTGOING: tuple[Outgoing, ...] = (
    Register(resource=GAUGES),
    ReadingsTable(),
    Reviews(),
    TenantTable(model=models.Visit, name="visits"),
    # The file itself is fetched by the photo's own address.
    TenantTable(model=models.VisitPhoto, name="photos"),
    TenantTable(model=models.Upload, name="uploads"),
    TenantTable(model=models.UrgentMail, name="urgent-mails"),
    TenantTable(model=models.Stop, name="stops"),
    TenantTable(model=models.StopEvent, name="stop-events"),
    TenantTable(model=models.BulkRelease, name="bulk-releases"),
    TenantTable(model=models.VisitMove, name="visit-moves"),
    TenantTable(model=models.OwnerAnswer, name="owner-answers"),
    TenantTable(model=models.Scenario, name="scenarios", leave_out=("knows", "answer")),
    TenantTable(
        model=models.HandOver, name="hand-overs", leave_out=("content_digest",)
    ),
    TenantTable(model=models.HandedRow, name="handed-rows"),
    TenantTable(model=models.Assessment, name="assessments"),
    TenantTable(
        model=models.Finding,
        name="findings",
        lists=lambda scope: queries.current_findings(scope=scope),
    ),
    TenantTable(model=models.WearLimit, name="wear-limits"),
    TenantTable(model=models.WearTrack, name="wear-tracks"),
    TenantTable(model=models.TrackPoint, name="track-points"),
    TenantTable(
        model=models.Forecast,
        name="forecasts",
        lists=lambda scope: queries.current_forecasts(scope=scope),
    ),
    TenantTable(model=models.ForecastRun, name="forecast-runs"),
    TenantTable(model=models.ForecastScore, name="forecast-scores"),
    TenantTable(model=models.Hyperparameters, name="hyperparameters"),
    TenantTable(model=models.PlanningRule, name="planning-rules"),
    TenantTable(model=models.OptionSet, name="option-sets"),
    TenantTable(model=models.PlannedWork, name="planned-works"),
    TenantTable(model=models.PlannedStep, name="planned-steps"),
    TenantTable(model=models.DueWork, name="due-works"),
    TenantTable(model=models.Terms, name="terms"),
    TenantTable(model=models.CalendarFeed, name="calendar-feeds", leave_out=_SECRET),
)
