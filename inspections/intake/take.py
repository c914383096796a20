"""Take the visits and readings of an upload, each on its own, in four looks.

Visits first, then every reading made ready; then the visits that have one (or that
came without readings) are stored, then the readings. What is wrong with one reading
never touches another.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections import queries, urgent
from inspections.intake import store, visits
from inspections.intake.outcome import ReadingOutcome, VisitOutcome
from inspections.intake.prepare import Surroundings, ready, surroundings
from inspections.intake.problems import Problem, RefusedReading
from inspections.intake.understood import NewUpload, NewVisit, NotUnderstood
from inspections.models import Reading, ReadingState, Stop, Upload
from inspections.stops import correcting, holding, running


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of an upload, in the order sent, and the machines it touched.

    `told` says who is being told of what acts at once; empty if nothing does. `stops`
    are those that its readings have raised, or that they repeat. `named_ids` are also
    the machines of which nothing new was said.
    """

    readings: list[ReadingOutcome]
    visits: list[VisitOutcome]
    machine_ids: set[int]
    named_ids: set[int]
    told: urgent.Telling | None
    stops: Sequence[Stop] = ()


@dataclass(slots=True, kw_only=True)
class _Desk:
    """The outcomes as they become known."""

    scope: Scope
    around: Surroundings
    readings: dict[int, ReadingOutcome] = field(default_factory=dict)
    visits: dict[str, VisitOutcome] = field(default_factory=dict)
    rows: dict[str, list[store.ReadingRow]] = field(default_factory=dict)
    # Whether something new was stored that asks for action before all else.
    acts_at_once: bool = False
    corrections: list[int] = field(default_factory=list)
    counters: list[int] = field(default_factory=list)

    def refuse(self, visit: NewVisit, problem: Problem, *, outcome: str) -> None:
        """Refuse a visit, and with it its readings."""
        self.visits[visit.pointer] = VisitOutcome(
            reference=visit.reference, outcome=outcome, problem=problem
        )
        for reading in visit.readings:
            own = reading.problem if isinstance(reading, NotUnderstood) else problem
            self.readings[reading.index] = _refused(reading.reference, own)


def take(
    *, scope: Scope, upload: NewUpload, row: Upload, received_at: datetime
) -> Taken:
    """Store what can be stored and return the outcome of everything."""
    around = surroundings(scope=scope, upload=upload, received_at=received_at)
    desk = _Desk(scope=scope, around=around)
    accepted = [visit for visit in upload.visits if _is_ready(desk, visit)]
    rows = _store_visits(desk, accepted)
    machine_ids = _store_rows(desk, upload_id=row.pk, rows=rows)
    _hold(desk, machine_ids)
    correcting.of_readings(scope=scope, ids=desk.corrections, now=received_at)
    if desk.corrections:
        urgent.open_again(scope=scope, machine_ids=machine_ids, now=received_at)
    told: urgent.Telling | None = None
    stops: Sequence[Stop] = ()
    if desk.acts_at_once:
        told = urgent.tell(scope=scope, upload_id=row.pk, now=received_at)
        stops = queries.stops_of_upload(scope=scope, upload_id=row.pk)
    running.of_counters(
        scope=scope, ids=desk.counters, upload_id=row.pk, now=received_at
    )
    return Taken(
        readings=[desk.readings[index] for index in range(upload.readings_count)],
        visits=[desk.visits[visit.pointer] for visit in upload.visits],
        machine_ids=machine_ids,
        named_ids={new.row.machine_id for new in rows},
        told=told,
        stops=stops,
    )


def _hold(desk: _Desk, machine_ids: set[int]) -> None:
    """Hold the stops of every machine that this upload reaches, before the first.

    What comes late for a visit that was moved is brought to where that was made.
    """
    if not (desk.corrections or desk.acts_at_once or desk.counters):
        return
    known = [one.id for one in desk.visits.values() if one.outcome != "stored"]
    later = holding.moved_on(
        scope=desk.scope, visit_ids=[pk for pk in known if pk is not None]
    )
    holding.hold(scope=desk.scope, machine_ids=machine_ids | later)


def _is_ready(desk: _Desk, visit: NewVisit) -> bool:
    """Make a visit's readings ready; tell whether the visit is worth storing."""
    try:
        visits.check(visit=visit, registered=desk.around.registered)
    except RefusedReading as refused:
        desk.refuse(visit, refused.as_problem(), outcome="refused")
        return False
    rows = desk.rows[visit.pointer] = []
    for number, reading in enumerate(visit.readings):
        if isinstance(reading, NotUnderstood):
            desk.readings[reading.index] = _refused(reading.reference, reading.problem)
            continue
        try:
            rows.append(
                ready(
                    reading=reading,
                    pointer=f"{visit.pointer}/readings/{number}",
                    machine=visit.machine,
                    around=desk.around,
                )
            )
        except RefusedReading as refused:
            desk.readings[reading.index] = _refused(
                reading.reference, refused.as_problem()
            )
    if rows or not visit.readings:
        return True
    desk.visits[visit.pointer] = VisitOutcome(
        reference=visit.reference,
        outcome="refused",
        problem=Problem(
            pointer=visit.pointer,
            code="nothing-taken",
            detail="none of its readings could be taken",
        ),
    )
    return False


def _store_visits(desk: _Desk, accepted: list[NewVisit]) -> list[store.StoredRow]:
    """Store the visits and return the rows of readings, each with its visit."""
    registered = desk.around.registered
    stored = visits.store(scope=desk.scope, visits=accepted, registered=registered)
    first: set[str] = set()
    found: list[store.StoredRow] = []
    for visit in accepted:
        row, is_new = stored[visit.reference]
        parts = registered.parts[visit.machine]
        problem = visits.difference(visit=visit, stored=row, parts=parts)
        if row.machine_id != parts.machine.pk and problem is not None:
            desk.refuse(visit, problem, outcome="conflict")
            continue
        fresh = is_new and visit.reference not in first
        first.add(visit.reference)
        same = "stored" if fresh else "already-stored"
        desk.visits[visit.pointer] = VisitOutcome(
            reference=visit.reference,
            outcome="conflict" if problem else same,
            id=row.pk,
            problem=problem,
        )
        found += [
            store.StoredRow(row=ready_row, visit_id=row.pk)
            for ready_row in desk.rows[visit.pointer]
        ]
    return found


def _store_rows(
    desk: _Desk, *, upload_id: int, rows: list[store.StoredRow]
) -> set[int]:
    """Store what is ready, fill in its outcomes, return the machines touched."""
    first_of: dict[str, store.StoredRow] = {}
    for new in rows:
        first_of.setdefault(new.row.reading.reference, new)
    fresh = store.insert(
        scope=desk.scope, upload_id=upload_id, rows=list(first_of.values())
    )
    repeats = [
        new.row
        for new in rows
        if new.row.reading.reference not in fresh
        or first_of[new.row.reading.reference] is not new
    ]
    before = store.stored_before(scope=desk.scope, rows=repeats) if repeats else {}
    repeated = {row.reading.index for row in repeats}
    machine_ids = set()
    for row in (new.row for new in rows):
        reading = row.reading
        if reading.index in repeated:
            desk.readings[reading.index] = _repeat(row, before[reading.reference])
            continue
        machine_ids.add(row.machine_id)
        desk.acts_at_once = desk.acts_at_once or _acts(row)
        if row.corrects_id is not None:
            desk.corrections.append(fresh[reading.reference])
        if reading.kind.code == running.KIND:
            desk.counters.append(fresh[reading.reference])
        held = row.judgement.state == ReadingState.HELD
        desk.readings[reading.index] = ReadingOutcome(
            reference=reading.reference,
            outcome="held" if held else "stored",
            id=fresh[reading.reference],
            warnings=row.judgement.warnings,
            stop=row.judgement.stop,
        )
    return machine_ids


def _acts(row: store.ReadingRow) -> bool:
    reading = row.reading
    return urgent.acts_at_once(
        kind=reading.kind,
        state=row.judgement.state,
        value=reading.value,
        word=reading.word,
    )


def _repeat(row: store.ReadingRow, stored: Reading) -> ReadingOutcome:
    """Return the outcome of a reference that is stored already.

    Warnings are said again: whoever sends twice has perhaps not seen the answer.
    """
    warnings, stop = row.judgement.warnings, row.judgement.stop
    if store.is_same(stored=stored, row=row):
        return ReadingOutcome(
            reference=stored.reference,
            outcome="already-stored",
            id=stored.pk,
            warnings=warnings,
            stop=stop,
        )
    return ReadingOutcome(
        reference=row.reading.reference,
        outcome="conflict",
        problem=Problem(
            pointer=f"{row.pointer}/reference",
            code="reference-reused",
            detail="this reference is stored with other content; nothing was changed",
        ),
        warnings=warnings,
        stop=stop,
    )


def _refused(reference: str, problem: Problem) -> ReadingOutcome:
    return ReadingOutcome(reference=reference, outcome="refused", problem=problem)
