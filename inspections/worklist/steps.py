"""What is measured in which kind of visit, and how long it takes.

Minutes are common practice, no source, for a usual machine with its ropes on; a
contractor's own may differ. Which readings a step takes, how often and where, each kind
of reading says itself.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from inspections.engineering.groove import BY_CODE, codes_measured_by
from inspections.kinds import KINDS, Asked, Kind
from inspections.models import VisitKind
from inspections.reasons import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedReadings:
    """One kind of reading at every place of its subject.

    `kinds` can stand for each other, the first is the usual one. Places are told
    apart by the keys in `apart`; `at` are the places to read where none was before.
    """

    kinds: tuple[str, ...]
    days: int
    apart: tuple[str, ...]
    at: tuple[dict[str, Any], ...]
    forms: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Readings that are taken in one go, in the order of `STEPS`.

    Where the time does not reach for all, those of a lower `weight` come in first; our
    rule, no source: slip and what bottoms, condemns or lands before the rest.
    """

    code: str
    minutes: int
    visit: str
    weight: int = 0

    @property
    def wanted(self) -> tuple[WantedReadings, ...]:
        """Return what is read in the step, in the order of the kinds."""
        return _WANTED.get(self.code, ())

    @property
    def said(self) -> Term:
        """Return what the step is called."""
        return Term(f"step_{self.code.replace(' ', '_').replace('-', '_')}")


# In the order of doing: what is seen on the running machine comes before the ropes are
# stopped and locked out, the grooves come once they are clean.
STEPS = (
    Step(
        code="seen running",
        minutes=2,
        visit=VisitKind.ROUTINE,
    ),
    Step(
        code="run-by",
        minutes=3,
        visit=VisitKind.ROUTINE,
        weight=2,
    ),
    Step(
        code="wires",
        minutes=7,
        visit=VisitKind.ROUTINE,
        weight=2,
    ),
    Step(
        code="diameters",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=1,
    ),
    Step(
        code="crowns",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=3,
    ),
    Step(
        code="open arc",
        minutes=8,
        visit=VisitKind.ROUTINE,
        weight=1,
    ),
    Step(
        code="parts",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=4,
    ),
    Step(
        code="tensions",
        minutes=15,
        visit=VisitKind.TENSION,
    ),
    Step(
        code="slip test",
        minutes=10,
        visit=VisitKind.SLIP_TEST,
    ),
    Step(
        code="masses",
        minutes=90,
        visit=VisitKind.BALANCE,
    ),
    Step(
        code="rim",
        minutes=150,
        visit=VisitKind.RIM_SURVEY,
    ),
    Step(
        code="pulleys",
        minutes=20,
        visit=VisitKind.RIM_SURVEY,
    ),
    Step(
        code="hardness",
        minutes=10,
        visit=VisitKind.HARDNESS,
    ),
    Step(
        code="cracks",
        minutes=15,
        visit=VisitKind.CRACK_CHECK,
    ),
)


def _wanted(step: str) -> Iterator[WantedReadings]:
    for kind in KINDS.values():
        for asked in kind.asked:
            if asked.step == step:
                yield _of_kind(kind, asked)


def _of_kind(kind: Kind, asked: Asked) -> WantedReadings:
    return WantedReadings(
        kinds=(kind.code, *asked.or_kinds),
        days=asked.days,
        apart=asked.apart,
        at=asked.at,
        # Where no form has the kind for itself, every form is measured by it.
        forms=codes_measured_by(kind=kind.code) or tuple(BY_CODE),
    )


_WANTED = {step.code: tuple(_wanted(step.code)) for step in STEPS}
# What makes a beginning for wear that starts anew.
BASELINE = ("run-by", "diameters", "crowns", "open arc")
# Reading once more what must be confirmed, where its step is not due.
AGAIN_MINUTES = 2


def steps_of(visit: str) -> tuple[Step, ...]:
    """Return the steps of a kind of visit, in the order of doing."""
    if visit == VisitKind.AS_LEFT:
        return tuple(step for step in STEPS if step.code in BASELINE)
    return tuple(step for step in STEPS if step.visit == visit)


def usual_minutes(visit: str) -> int:
    """Return the minutes that a visit has where nobody says: half an hour or all."""
    if visit == VisitKind.ROUTINE:
        return 30
    return sum(step.minutes for step in steps_of(visit))
