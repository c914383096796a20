"""Compose a document: everything it says, frozen, nothing drawn."""

from collections.abc import Callable
from datetime import datetime

from django.utils import translation

from fleet.platform.database.tenancy import Scope
from reports import content
from reports.composition.condition import condition_report
from reports.composition.fieldsheet import field_sheet
from reports.composition.portfolio import portfolio_review
from reports.composition.regroove import regroove_sheet
from reports.composition.rope_order import rope_order
from reports.composition.service import return_to_service
from reports.models import Report, ReportKind

Composer = Callable[..., content.Content]

_COMPOSERS: dict[ReportKind, Composer] = {
    ReportKind.CONDITION_REPORT: condition_report,
    ReportKind.FIELD_SHEET: field_sheet,
    ReportKind.PORTFOLIO_REVIEW: portfolio_review,
    ReportKind.RETURN_TO_SERVICE: return_to_service,
    ReportKind.REGROOVE_ORDER: regroove_sheet,
    ReportKind.ROPE_ORDER: rope_order,
}


def compose(*, scope: Scope, report: Report, issued_at: datetime) -> content.Content:
    """Return the content of a report, in its own language and units."""
    composer = _COMPOSERS[ReportKind(report.kind)]
    with translation.override(report.language):
        return composer(scope=scope, report=report, issued_at=issued_at)
