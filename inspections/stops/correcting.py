"""A correction by whoever read it, at the same visit and place, ends its own stop.

It ends what the corrected reading alone had raised, and the reason is the note of the
correction. Any other correction to the better ends nothing: a stop is refuted then.
So is one that was worked out: no reading alone says that nothing is wrong.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections import corrections
from inspections.kinds import KINDS
from inspections.models import Reading, ReadingState, Release, Stop, StopBasis
from inspections.stops import closing, holding

_SAYS_NOTHING = "not seen"


def of_readings(*, scope: Scope, ids: Iterable[int], now: datetime) -> None:
    """End what was seen, and corrected by readings that have just come in."""
    own = corrections.own(scope=scope, ids=list(ids))
    rows = Reading.objects.within(scope).filter(pk__in=list(own))
    rows = rows.select_related("upload").order_by("pk")
    good = {row.corrects_id: row for row in rows if _is_good(row)}
    _end(scope, StopBasis.OBSERVED, good, now)


def _end(
    scope: Scope,
    basis: StopBasis,
    corrections: Mapping[int | None, Reading],
    now: datetime,
) -> None:
    """End the open stops that rest on corrected readings alone."""
    if not corrections:
        return
    machines = {row.machine_id for row in corrections.values()}
    holding.hold(scope=scope, machine_ids=machines)
    rows = Stop.objects.within(scope).select_for_update(of=("self",)).order_by("pk")
    for stop in rows.filter(
        released_at=None,
        basis=basis,
        machine__in=machines,
        readings__len__gt=0,
        readings__contained_by=[pk for pk in corrections if pk is not None],
    ):
        last = corrections[max(stop.readings)]
        closing.end(
            scope=scope,
            stop=stop,
            release=Release.CORRECTED,
            why=last.note,
            now=now,
            by=last.upload.membership_id if last.upload else None,
            readings=[corrections[pk].pk for pk in stop.readings],
        )


def _is_good(row: Reading) -> bool:
    """Tell whether a correction says that nothing is wrong, and is not doubted."""
    kind = KINDS[row.kind]
    if row.state != ReadingState.STORED:
        return False
    if kind.is_worded:
        return row.word not in (*kind.unsafe_words, _SAYS_NOTHING)
    limit = kind.stops_at_or_below
    return limit is None or (row.value is not None and row.value > limit)
