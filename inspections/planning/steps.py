"""What happened to planned work, step by step; never edited."""

from inspections.models import PlannedStep, PlannedWork
from inspections.reasons import Reason, as_json

_LONGEST = 500


def note(row: PlannedWork, *, by: int | None, what: Reason) -> None:
    """Write down what happened, with the state that the work is in now."""
    PlannedStep.objects.create(
        contractor_id=row.contractor_id,
        planned_work=row,
        state=row.state,
        membership_id=by,
        words=str(what)[:_LONGEST],
        said=as_json(what),
    )
