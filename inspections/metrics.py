"""Which methods are at work, and how many machines their change alone has stopped."""

from collections.abc import Iterator
from datetime import datetime
from functools import partial

from fleet.models import Contractor
from fleet.platform.database import tenancy
from fleet.platform.watching.metrics.exposition import MetricFamily, Sample
from fleet.register import quotas
from inspections import photos
from inspections import versions as rooms
from inspections.stops import alerting


def families(*, now: datetime) -> Iterator[MetricFamily]:
    """Return the versions that are stored with results, and what rules have stopped."""
    versions = {
        "assessment": str(rooms.JUDGING),
        "forecast": str(rooms.FORECASTING),
        "options": str(rooms.DECIDING),
    }
    yield MetricFamily(
        name="ropeseat_method_info",
        meaning="Always 1; the version of each method is in the labels.",
        samples=tuple(
            Sample(value=1, labels={"method": method, "version": version})
            for method, version in versions.items()
        ),
    )
    shares = [
        stopped / machines
        for stopped, machines in _stopped_by_rules(now=now)
        if machines
    ]
    yield MetricFamily(
        name="ropeseat_stopped_by_rules_share",
        meaning="The largest share of one contractor's machines that changed rules "
        "alone have stopped within a day; above "
        f"{alerting.MANY_SHARE} the rules are to be looked at.",
        samples=(Sample(value=max(shares, default=0.0)),),
    )
    yield MetricFamily(
        name="ropeseat_quota_used_share",
        meaning="What a contractor uses of each quota that it has; 1 is all of it.",
        samples=tuple(_quotas(now=now)),
    )


def _stopped_by_rules(*, now: datetime) -> Iterator[tuple[int, int]]:
    """Yield machines stopped and machines at all, each contractor by itself."""
    for pk in Contractor.objects.order_by("pk").values_list("pk", flat=True):
        with tenancy.acting_for(contractor_id=pk) as scope:
            yield alerting.counted(scope=scope, now=now)


def _quotas(*, now: datetime) -> Iterator[Sample]:
    """Yield the share of each quota that is set, each contractor by itself."""
    for row in Contractor.objects.filter(retired_on=None).order_by("pk"):
        with tenancy.acting_for(contractor_id=row.pk) as scope:
            counts = {
                "machines": partial(quotas.machines, scope=scope),
                "photo_bytes": partial(photos.bytes_kept, scope=scope),
                "exports_a_day": partial(quotas.exports_a_day, scope=scope, now=now),
            }
            for quota, count in counts.items():
                limit = getattr(row, quotas.LIMITS[quota])
                if limit is not None:
                    labels = {"contractor": str(row.pk), "quota": quota}
                    yield Sample(value=count() / max(limit, 1), labels=labels)
