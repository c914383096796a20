"""Which readings ask for action at once."""

from collections.abc import Sequence

from django.db.models import Q

from fleet.tenancy import Scope
from inspections.kinds import KINDS, Kind
from inspections.models import Reading, ReadingState


def acts_at_once(
    *, kind: Kind, state: str, value: float | None, word: str | None
) -> bool:
    """Tell whether a stored reading asks for action before anything is calculated.

    True outside the usual band on the unsafe side, for a word such as "defect", and
    for a number that stops the machine.
    """
    if state == ReadingState.UNCONFIRMED or is_stopping(kind=kind, value=value):
        return True
    return kind.is_worded and word in kind.unsafe_words


def is_stopping(
    *, kind: Kind, value: float | None = None, word: str | None = None
) -> bool:
    """Tell whether a reading takes the machine out of service at once."""
    if kind.stops and word in kind.unsafe_words:
        return True
    limit = kind.stops_at_or_below
    return limit is not None and value is not None and value <= limit


def readings_of(*, scope: Scope, upload_id: int) -> Sequence[Reading]:
    """Return the readings of one upload that act at once, machine by machine."""
    able = [
        kind.code
        for kind in KINDS.values()
        if kind.unsafe_words or kind.stops_at_or_below is not None
    ]
    rows = (
        Reading.objects.within(scope)
        .filter(Q(state=ReadingState.UNCONFIRMED) | Q(kind__in=able), upload=upload_id)
        .select_related("machine__building", "groove", "rope", "gauge")
        .order_by("machine__code", "machine_id", "taken_at", "pk")
    )
    return [row for row in rows.iterator(chunk_size=1000) if _acts(row)]


def _acts(row: Reading) -> bool:
    kind = KINDS.get(row.kind)
    if kind is None:
        return row.state == ReadingState.UNCONFIRMED
    return acts_at_once(kind=kind, state=row.state, value=row.value, word=row.word)
