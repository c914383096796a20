"""Count what is tried within a span of time, right over any number of processes.

One statement counts and tells the count, so two processes never both see the last free
place. The span begins with the first try and is not made longer by further ones: what
is refused now is taken again when it ends. Counts stand in PostgreSQL, because the
cache of a process counts for itself, and reading before writing lets a burst through.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection

from fleet.platform.models import Tally

LONGEST_NAME = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class TryLimit:
    """At most so many tries in a span of time; most = 0 is no limit."""

    most: int
    span: timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """How many tries were made in the span, and when it ends."""

    hits: int
    ends_at: datetime

    def exceeds(self, limit: TryLimit) -> bool:
        """Tell whether there were more tries than the limit."""
        return 0 < limit.most < self.hits

    def wait_s(self, *, at: datetime) -> int:
        """Return the whole seconds until tries are taken again, at least one."""
        return max(1, -int((at - self.ends_at).total_seconds() // 1))


def count(*, name: str, limit: TryLimit, at: datetime) -> Counted:
    """Count one more try under a name and return how many there are.

    The row stays locked until the transaction ends, and the count goes with it when
    it is rolled back: call it outside the transaction of what is counted.
    """
    with connection.cursor() as cursor:
        cursor.execute(_COUNT, {"name": name, "at": at, "ends_at": at + limit.span})
        hits, ends_at = cursor.fetchone()
    return Counted(hits=hits, ends_at=ends_at)


def look(*, name: str, at: datetime) -> Counted:
    """Return what was counted under a name, without counting."""
    row = Tally.objects.filter(name=name, ends_at__gt=at).first()
    return Counted(hits=row.hits if row else 0, ends_at=row.ends_at if row else at)


def forget(*, name: str) -> None:
    """Begin anew under a name."""
    Tally.objects.filter(name=name).delete()


def prune(*, before: datetime) -> int:
    """Remove counts whose span was over before a time; return how many."""
    return Tally.objects.filter(ends_at__lt=before).delete()[0]


_COUNT = """
INSERT INTO fleet_tally AS t (name, ends_at, hits)
VALUES (%(name)s, %(ends_at)s, 1)
ON CONFLICT (name) DO UPDATE SET
    hits = CASE WHEN t.ends_at <= %(at)s THEN 1 ELSE t.hits + 1 END,
    ends_at = CASE WHEN t.ends_at <= %(at)s THEN excluded.ends_at ELSE t.ends_at END
RETURNING hits, ends_at
"""
