"""Reports and mails on their way, added up over all contractors."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from django.db.models import Count, Min, QuerySet

from fleet.models import Contractor
from fleet.platform.database import tenancy
from fleet.platform.watching.metrics.exposition import MetricFamily, Sample
from reports.composition.masthead import CONTENT_VERSION
from reports.models import Delivery, DeliveryState, Report


def families(*, now: datetime) -> Iterator[MetricFamily]:
    """Return counts without a contractor's name or number.

    Row-level security is not stepped around: each contractor is asked in a
    transaction of its own.
    """
    mails, reports = Counter[str](), Counter[str]()
    waiting: list[datetime] = []
    for contractor_id in Contractor.objects.order_by("pk").values_list("pk", flat=True):
        with tenancy.acting_for(contractor_id=contractor_id) as scope:
            own = Delivery.objects.within(scope)
            mails.update(_by_state(own))
            reports.update(_by_state(Report.objects.within(scope)))
            waiting += _oldest(own.filter(state=DeliveryState.QUEUED))
    yield _counted("ropeseat_reports", "Reports, by state.", reports)
    yield _counted("ropeseat_deliveries", "Mails with a report, by state.", mails)
    yield MetricFamily(
        name="ropeseat_delivery_oldest_waiting_age_seconds",
        meaning="How long the mail that waits longest has waited.",
        samples=tuple(
            Sample(value=(now - at).total_seconds()) for at in sorted(waiting)[:1]
        ),
    )
    yield MetricFamily(
        name="ropeseat_report_content_info",
        meaning="Always 1; the version of a report's content is in the label.",
        samples=(Sample(value=1, labels={"version": CONTENT_VERSION}),),
    )


def _by_state(rows: "QuerySet[Delivery] | QuerySet[Report]") -> dict[str, int]:
    counted = rows.order_by().values_list("state").annotate(Count("pk"))
    return dict(counted)


def _oldest(rows: "QuerySet[Delivery]") -> list[datetime]:
    at = rows.aggregate(at=Min("created_at"))["at"]
    return [at] if at is not None else []


def _counted(name: str, meaning: str, counts: Counter[str]) -> MetricFamily:
    return MetricFamily(
        name=name,
        meaning=meaning,
        samples=tuple(
            Sample(value=number, labels={"state": state})
            for state, number in sorted(counts.items())
        ),
    )
