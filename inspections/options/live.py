"""The options of machines worked out now, with the facts they rest on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import inputs
from inspections.decisions.records import GrooveDrawing, MachineFacts, Option
from inspections.inputs import CurrentTerms, Snapshot
from inspections.options import drawing, facts, loading, working_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """What is known of a machine now, on which terms, and what can be done."""

    code: str
    facts: MachineFacts
    drawing: GrooveDrawing
    terms: CurrentTerms
    options: tuple[Option, ...]


def look(*, scope: Scope, machine_id: int, as_of: datetime) -> Live:
    """Return facts and options of a machine as they stand now. Raises NotFound."""
    snapshots = inputs.load(scope=scope, machine_ids=[machine_id], as_of=as_of)
    if not snapshots:
        raise NotFound
    [found] = of_snapshots(scope=scope, snapshots=snapshots, as_of=as_of)
    return found


def of_snapshots(
    *, scope: Scope, snapshots: Sequence[Snapshot], as_of: datetime
) -> Iterator[Live]:
    """Yield facts and options of machines in their order; a constant number of queries.

    They are worked out one by one as they are asked for: what is found of a thousand
    machines is not held at once.
    """
    ids = [snapshot.machine.pk for snapshot in snapshots]
    judged = loading.judged(scope=scope, machine_ids=ids)
    terms = inputs.standing_terms(scope=scope)
    for snapshot in snapshots:
        known = facts.facts_of(snapshot=snapshot, judged=judged[snapshot.machine.pk])
        yield Live(
            code=snapshot.machine.code,
            facts=known,
            drawing=drawing.drawing_of(snapshot),
            terms=terms,
            options=working_out.by_terms(known, terms, as_of),
        )
