"""The options of one machine worked out now, with the facts they rest on."""

from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import inputs
from inspections.decisions.records import GrooveDrawing, MachineFacts, Option
from inspections.inputs import CurrentTerms
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
    [snapshot] = snapshots
    judged = loading.judged(scope=scope, machine_ids=[machine_id])[machine_id]
    known = facts.facts_of(snapshot=snapshot, judged=judged)
    terms = inputs.standing_terms(scope=scope)
    return Live(
        code=snapshot.machine.code,
        facts=known,
        drawing=drawing.drawing_of(snapshot),
        terms=terms,
        options=working_out.by_terms(known, terms, as_of),
    )
