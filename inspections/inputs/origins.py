"""What corrections go back to, also where it is set aside."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.models import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """The visit and the moment that a correction tells of."""

    visit_id: int
    taken_at: datetime


def tie(scope: Scope, rows: Iterable[Reading]) -> None:
    """Give each correction its `origin`; nothing is asked where there are none."""
    corrections = {row: row.corrects_id for row in rows if row.corrects_id}
    known: dict[int, tuple[int | None, int, datetime]] = {}
    wanted = set(corrections.values())
    while missing := wanted - known.keys():
        found = Reading.objects.within(scope).filter(pk__in=missing)
        more = found.values_list("pk", "corrects_id", "visit_id", "taken_at")
        asked = {pk: (before, visit, at) for pk, before, visit, at in more}
        if not asked:
            break
        known |= asked
        wanted = set(known) | {before for before, _, _ in asked.values() if before}
    for row, corrects in corrections.items():
        at, seen = corrects, {row.pk}
        while at in known and (before := known[at][0]) and at not in seen:
            seen.add(at)
            at = before
        if at in known:
            _, visit_id, taken_at = known[at]
            vars(row)["origin"] = Origin(visit_id=visit_id, taken_at=taken_at)
