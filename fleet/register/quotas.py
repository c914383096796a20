"""How much of the service one contractor may use: machines, photos, files taken out.

Readings have no quota, nor has anything of a machine that is there already: safety data
that is turned away is lost, and costs the service next to nothing.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict
from fleet.platform.models import Contractor
from fleet.register.models import ExportFile, Machine

A_DAY = timedelta(days=1)
# What is counted -> the column of the contractor that says how much of it there may be.
LIMITS = {
    "machines": "most_machines",
    "photo_bytes": "most_photo_bytes",
    "exports_a_day": "most_exports_a_day",
}
_WORDS = {
    "machines": "machines in service",
    "photo_bytes": "bytes of photos",
    "exports_a_day": "files asked for within a day",
}


class QuotaReached(Conflict):
    """The contractor has as much of this as it may; the service's administrator can
    raise it."""

    code = "quota-reached"


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """How much of something there is, and may be; no limit is None."""

    used: int
    limit: int | None


def limit_of(*, scope: Scope, quota: str) -> int | None:
    """Return how much a contractor may have; locks it, so that two do not both pass."""
    rows = Contractor.objects.select_for_update(no_key=True)
    row = rows.get(pk=scope.contractor_id)
    found: int | None = getattr(row, LIMITS[quota])
    return found


def check(*, scope: Scope, quota: str, used: int, more: int = 1) -> None:
    """Raise QuotaReached if so much more is more than there may be."""
    limit = limit_of(scope=scope, quota=quota)
    if limit is not None and used + more > limit:
        raise QuotaReached(
            f"This contractor may have {limit} {_WORDS[quota]}, has {used}, and asks "
            f"for {more} more. The service's administrator can raise it."
        )


@contextmanager
def on_machines(*, scope: Scope) -> Iterator[None]:
    """Refuse what is done inside if it leads beyond the machines that there may be.

    Work on machines that are there is never refused, also where there are too many
    already. Raises QuotaReached; call it in a transaction.
    """
    limit = limit_of(scope=scope, quota="machines")
    before = 0 if limit is None else machines(scope=scope)
    yield
    if limit is None:
        return
    after = machines(scope=scope)
    if after > max(limit, before):
        check(scope=scope, quota="machines", used=before, more=after - before)


def check_export(*, scope: Scope, now: datetime) -> None:
    """Raise QuotaReached where enough files were asked for within a day."""
    used = exports_a_day(scope=scope, now=now)
    check(scope=scope, quota="exports_a_day", used=used)


def machines(*, scope: Scope) -> int:
    """Return how many machines are in service."""
    count: int = Machine.objects.within(scope).filter(retired_on=None).count()
    return count


def exports_a_day(*, scope: Scope, now: datetime) -> int:
    """Return how many files were asked for in the last day."""
    rows = ExportFile.objects.filter(contractor_id=scope.contractor_id)
    return rows.filter(created_at__gt=now - A_DAY).count()
