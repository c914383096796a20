"""A criterion over what is not known: both ends, and what is assumed of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from inspections.engineering import unknowns
from inspections.engineering.answer import Answer, Axis, OverBox
from inspections.engineering.source import Source
from inspections.engineering.verdict import Outcome, Verdict
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """A value that is not known, or not exactly, and the range it is taken to lie in.

    `source` is that of the range; "" where it is two standard deviations of what was
    registered or read.
    """

    name: str
    low: float
    typical: float
    high: float
    source: str = ""


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """A criterion over everything that is not known, by its margins.

    `chance` is that of beyond; `decides` names what, once measured, would settle most.
    """

    answer: Answer
    worst: float | None = None
    typical: float | None = None
    best: float | None = None
    chance: float | None = None
    decides: str = ""
    unknowns: tuple[Assumed, ...] = ()


def assumed(axis: Axis, *, source: Source | None = None) -> Assumed:
    """Return what is assumed of one unknown, with where the range comes from."""
    return Assumed(
        name=axis.name,
        low=axis.low,
        typical=axis.typical,
        high=axis.high,
        source=source.text if source else "",
    )


def assumed_by_table(axis: Axis) -> Assumed:
    """Return what is assumed of an unknown that has a row in the table."""
    return assumed(axis, source=unknowns.find(name=axis.name).source)


def of_box(box: OverBox, *, unknown: Iterable[Assumed]) -> Over:
    """Return a criterion that the kernel has judged over a box."""
    return Over(
        answer=box.answer,
        worst=box.worst_margin,
        typical=box.typical_margin,
        best=box.best_margin,
        chance=box.chance_beyond,
        decides=box.decides_most,
        unknowns=tuple(unknown),
    )


def of_verdict(verdict: Verdict) -> Over | None:
    """Return both ends of a verdict that rests on something not known, else None."""
    limit, value, between = verdict.limit, verdict.value, verdict.open_between
    if limit is None:
        return None
    if between is None or value is None:
        is_open = verdict.outcome is Outcome.NOT_ASSESSED
        return Over(answer=Answer.OPEN) if is_open else None
    # Limits that are open so are limits on a loss: the margin falls with the value.
    worst, best = limit - max(between), limit - min(between)
    return Over(
        answer=verdict.answer,
        worst=worst,
        typical=limit - value,
        best=best,
        chance=share_beyond(worst=worst, best=best),
    )


def share_beyond(*, worst: float, best: float) -> float:
    """Return the share of a range of margins that lies beyond."""
    if worst >= 0.0:
        return 0.0
    return 1.0 if best < 0.0 else -worst / (best - worst)
