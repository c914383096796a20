"""The portfolio review: what the contractor's office receives."""

from dataclasses import dataclass

from reports.content.charts import PortfolioStrip
from reports.content.pieces import Masthead, Row, Table
from reports.content.stops import OutOfService
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class PortfolioReview:
    """Everything the review says: what is late, what is open, how good we were."""

    masthead: Masthead
    wording: Wording
    headline: str
    figures: tuple[Row, ...]
    strip: PortfolioStrip | None
    overdue: Table
    open_findings: Table
    forecast_record: Table
    forecast_remarks: tuple[str, ...]
    worklist: Table | None = None
    budget: Table | None = None
    by_building: Table | None = None
    by_part: Table | None = None
    budget_remarks: tuple[str, ...] = ()
    out_of_service: tuple[OutOfService, ...] = ()
    more_out_of_service: str = ""
