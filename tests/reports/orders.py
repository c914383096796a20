"""Reports asked for and made, in one line."""

from datetime import UTC, date, datetime
from typing import Any

from django.core import signing

from fleet.models import Building, Job
from reports import delivery, publishing, tasks
from reports.models import Delivery, Report
from tests import callers, factories

NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
PERIOD = {"period_start": date(2026, 1, 1), "period_end": date(2026, 4, 1)}


def asked(
    cast: factories.Cast, *, building: str = "mill-house", **order: Any
) -> Report:
    """Ask for a condition report."""
    callers.confine(cast)
    scope = cast.scope()
    place = Building.objects.within(scope).get(code=building)
    whole = {"owner": place.owner, "building": place} | PERIOD | order
    return publishing.request(scope=scope, order=publishing.Order(**whole), now=NOW)[0]


def made(cast: factories.Cast, **order: Any) -> Report:
    """Ask for a condition report and make it."""
    report = asked(cast, **order)
    publishing.publish(scope=cast.scope(), report_id=report.pk, issued_at=NOW)
    report.refresh_from_db()
    return report


def run_jobs(cast: factories.Cast, *, kind: str = delivery.DELIVER) -> None:
    """Carry out the queued jobs of a kind, as a worker would."""
    run = {delivery.DELIVER: tasks.deliver, publishing.PUBLISH: tasks.publish}[kind]
    for pk in list(
        Job.objects.filter(kind=kind, state="QUEUED").values_list("pk", flat=True)
    ):
        run(job_id=pk)
        callers.confine(cast)


def signed_by_an_earlier_version(delivery: Delivery) -> str:
    """Return the end of the address that an earlier version mailed."""
    text = f"{delivery.contractor_id}.{delivery.pk}.{delivery.link_key}"
    return signing.Signer(salt="reports.delivery.links").sign(text)
