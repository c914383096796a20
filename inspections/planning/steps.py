"""What happened to planned work, step by step; never edited."""

from inspections.models import PlannedStep, PlannedWork

_LONGEST = 500


def note(row: PlannedWork, *, by: int | None, words: str) -> None:
    """Write down what happened, with the state that the work is in now."""
    PlannedStep.objects.create(
        contractor_id=row.contractor_id,
        planned_work=row,
        state=row.state,
        membership_id=by,
        words=words[:_LONGEST],
    )
