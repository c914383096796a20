"""The least set of checks: what was looked at of a machine, and what was not.

Nothing is called in order unless all of it was read, at every place, and not too long
ago. What the set holds is said in `inspections/inputs/least_set.py`.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any, NamedTuple

from fleet.register.choices import RimConstruction
from inspections.assessment import field_tests, words_seen
from inspections.assessment.draft import Draft
from inspections.assessment.known import Known
from inspections.inputs import CHECKS, Check, GrooveSeats, Snapshot
from inspections.inputs.last_visit import tells_of
from inspections.inputs.least_set import PARTS, Every
from inspections.models import Grade, Reading, VisitKind
from inspections.reasons import Topic
from inspections.records import made_by_slots

_MONTH = timedelta(days=366) / 12
_ROPING_MONTHS = 3
_WATCHED = (Topic.BROKEN_WIRES, Topic.ROUGE)


class CheckGap(StrEnum):
    """Why a check does not count."""

    NEVER_READ = "NEVER_READ"
    TOO_OLD = "TOO_OLD"
    NOT_SEEN = "NOT_SEEN"


@dataclass(frozen=True, slots=True, kw_only=True)
class Missed:
    """A check that was not made at one place, or too long ago."""

    check: str
    place: str
    why: CheckGap
    months: int
    last_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Completeness:
    """How much of the set was made: `made` of `of`, and what was not."""

    made: int
    of: int
    missed: tuple[Missed, ...]

    @property
    def is_complete(self) -> bool:
        return not self.missed

    def as_json(self) -> dict[str, Any]:
        """Return it as it is stored with the assessment and given in the API."""
        return {
            "made": self.made,
            "of": self.of,
            "missed": [
                {
                    "check": each.check,
                    "place": each.place,
                    "why": str(each.why),
                    "months": each.months,
                    "last_on": each.last_on.isoformat() if each.last_on else None,
                }
                for each in self.missed
            ],
        }


class _Looked(NamedTuple):
    """Whether anything was read of something, and when it was last seen."""

    read: bool = False
    last: datetime | None = None


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One check at one place, and the readings that answer it."""

    check: Check
    place: str
    looked: "_Looked"
    waits_until: date | None = None


def completeness(known: Known, drafts: Iterable[Draft]) -> Completeness:
    """Return which checks of the least set were made, by what was read and judged."""
    watched = {
        draft.rope_id
        for draft in drafts
        if draft.topic in _WATCHED
        and draft.grade in (Grade.KEEP_AN_EYE_ON, Grade.PLAN_WORK, Grade.ACT_NOW)
    }
    asked = list(_asked(known.snapshot, watched=watched, seats=known.seats))
    found = [_missed(known.snapshot, each) for each in asked]
    missed = tuple(each for each in found if each is not None)
    return Completeness(made=len(asked) - len(missed), of=len(asked), missed=missed)


def aged(snapshot: Snapshot) -> list[list[str]]:
    """Return the checks that are missing on the day by what was read alone.

    It changes with time although nothing is written, and nothing is judged for it.
    """
    everything: set[int | None] = {rope.pk for rope in snapshot.ropes}
    # What does not hang on what is watched is missing both times or neither.
    elsewhere = _named(snapshot, _of_grooves(snapshot, None))
    elsewhere += _named(snapshot, _of_machine(snapshot))
    return [
        each
        for watched in (set(), everything)
        for each in (*_named(snapshot, _of_ropes(snapshot, watched)), *elsewhere)
    ]


def _named(snapshot: Snapshot, asked: Iterable[_Asked]) -> list[list[str]]:
    """Return the checks that are missing of some, each with its place."""
    found = (_missed(snapshot, each) for each in asked)
    return [[one.check, one.place] for one in found if one is not None]


def _missed(snapshot: Snapshot, asked: _Asked) -> Missed | None:
    today = snapshot.as_of.date()
    if asked.waits_until is not None and today <= asked.waits_until:
        return None
    months = snapshot.ages.of(asked.check.code)
    if months is None:
        return None
    last = asked.looked.last
    why = None
    if last is None:
        why = CheckGap.NOT_SEEN if asked.looked.read else CheckGap.NEVER_READ
    elif snapshot.as_of - last > months * _MONTH:
        why = CheckGap.TOO_OLD
    if why is None:
        return None
    return Missed(
        check=asked.check.code,
        place=asked.place,
        why=why,
        months=months,
        last_on=last.date() if last else None,
    )


def _looked(readings: Collection[Reading]) -> _Looked:
    seen = [tells_of(r) for r in readings if r.word != words_seen.NOT_SEEN]
    return _Looked(bool(readings), max(seen, default=None))


def _asked(
    snapshot: Snapshot,
    *,
    watched: Iterable[int | None],
    seats: Mapping[int, GrooveSeats] | None,
) -> Iterator[_Asked]:
    yield from _of_ropes(snapshot, set(watched))
    yield from _of_grooves(snapshot, seats)
    yield from _of_machine(snapshot)


def _of_ropes(snapshot: Snapshot, watched: set[int | None]) -> Iterator[_Asked]:
    rope_set = snapshot.rope_set
    if rope_set is None or not snapshot.ropes:
        yield _Asked(check=CHECKS["rope_diameter"], place="", looked=_Looked())
        return
    waits_until = rope_set.fitted_on + _ROPING_MONTHS * _MONTH
    for rope in snapshot.ropes:
        more = "_watched" if rope.pk in watched else ""
        asked = ("rope_diameter", "broken_wires" + more, "rouge" + more, "rope_tension")
        of_more = [c.code for c in snapshot.ages.more if c.every is Every.ROPE]
        for code in (*asked, *of_more):
            yield _Asked(
                check=CHECKS[code],
                place=f"rope {rope.number}",
                looked=_looked_at_rope(snapshot, rope.pk, CHECKS[code].kinds),
                waits_until=waits_until if code == "rope_tension" else None,
            )


def _looked_at_rope(snapshot: Snapshot, pk: int, kinds: tuple[str, ...]) -> _Looked:
    """Return how some kinds were looked at of a rope; it is asked for thrice."""
    known: dict[tuple[int, tuple[str, ...]], _Looked]
    known = snapshot.once("looked at of ropes", dict)
    found = known.get((pk, kinds))
    if found is None:
        found = _looked(_read(snapshot, "rope_id", pk, kinds))
        known[pk, kinds] = found
    return found


def _read(
    snapshot: Snapshot, column: str, pk: int, kinds: Sequence[str]
) -> tuple[Reading, ...]:
    """Return what was read of some kinds at one rope or groove."""
    by_place = snapshot.once(f"readings by {column}", lambda: _by(snapshot, column))
    return tuple(r for kind in kinds for r in by_place.get((pk, kind), ()))


def _by(snapshot: Snapshot, column: str) -> dict[tuple[int, str], list[Reading]]:
    found: dict[tuple[int, str], list[Reading]] = defaultdict(list)
    for reading in snapshot.readings:
        found[vars(reading)[column], reading.kind].append(reading)
    return found


def _of_grooves(
    snapshot: Snapshot, seats: Mapping[int, GrooveSeats] | None
) -> Iterator[_Asked]:
    """Yield the seat of each groove; a reading without a valid route does not count."""
    if not snapshot.grooves:
        yield _Asked(check=CHECKS["seat_depth"], place="", looked=_Looked())
    for row in snapshot.grooves:
        read = _read(snapshot, "groove_id", row.pk, CHECKS["seat_depth"].kinds)
        if seats is not None:
            used = {
                pk
                for route in (seats[row.pk].routes if row.pk in seats else ())
                for end in route
                for pk in end.readings
            }
            read = tuple(reading for reading in read if reading.pk in used)
        yield _Asked(
            check=CHECKS["seat_depth"],
            place=f"groove {row.number}",
            looked=_looked(read),
        )


def _of_machine(snapshot: Snapshot) -> Iterator[_Asked]:
    more = snapshot.ages.more
    of_more = [check.code for check in more if check.every is Every.MACHINE]
    for code in ("slip", "counterweight_runby", *of_more):
        read = tuple(snapshot.of_kind(*CHECKS[code].kinds))
        yield _Asked(check=CHECKS[code], place="", looked=_looked(read))
    sheave = snapshot.sheave
    is_bolted = sheave is None or sheave.rim_construction == RimConstruction.BOLTED
    for part in (*PARTS, *(check.part for check in more if check.part)):
        if part == "rim bolts" and not is_bolted:
            continue
        read = tuple(
            r for r in snapshot.of_kind("check") if r.place.get("part") == part
        )
        yield _Asked(
            check=CHECKS[part.replace(" ", "_")], place=part, looked=_looked(read)
        )
    borrowed = "_borrowed" if snapshot.criteria.traction.borrowed else ""
    changed_on = words_seen.grip_changed_on(snapshot)
    yield _Asked(
        check=CHECKS["traction_test" + borrowed],
        place="",
        looked=_looked(
            (
                *(
                    reading
                    for reading in snapshot.of_kind("slip_seen")
                    if reading.visit.kind == VisitKind.SLIP_TEST
                    and words_seen.day_of(snapshot, reading) >= changed_on
                ),
                *field_tests.made_in_full(snapshot),
            )
        ),
    )
