"""What a twin's history has that its machine's has not: one thing, said once."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from tests.histories.steps import Row, Step, Visit

WORSE, LESS_REGISTER, LESS_READ, HEALED = "worse", "register", "unread", "words"
WORSE_REGISTER = "worse register"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One difference, from the step on at which it begins.

    `rows` take the place of the readings of their slots, `gone` are left out, and
    `more` are steps of the twin's own after the step. `row` is the reading that it is
    about.
    """

    sort: str
    said: str
    step: int = -1
    row: Row | None = None
    rows: tuple[Row, ...] = ()
    gone: tuple[int, ...] = ()
    more: tuple[Step, ...] = field(default=())
    stops_only: bool = False
    # Deeper is no worse for traction while a seat still beds in.
    beds_in: bool = False

    def applied(self, number: int, step: Step) -> Sequence[Step]:
        """Return what the twin does at a step of its machine."""
        if number != self.step:
            return (step,)
        if isinstance(step, Visit):
            for slot in self.gone:
                step = step.without(slot)
            for row in self.rows:
                step = step.with_row(row)
        return (step, *self.more)
