"""Is a reading plausible? Holding is one-sided.

An implausible reading on the unsafe side acts as if true until it is measured again;
only an implausibly good one is held back. The bands are common practice, no source.
"""

from dataclasses import dataclass

from inspections.kinds import Bound, Kind
from inspections.models import ReadingState

MEASURE_AGAIN = "unconfirmed: act as if true, measure again now"
STOP = (
    "Take the machine out of service until a competent person has decided; secure "
    "car and counterweight, lock out. Local code, the authority having jurisdiction "
    "and the licensed inspector decide when it returns."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """How a reading is stored, and what the sender is told at once."""

    state: str = ReadingState.STORED
    reason: str = ""
    warning: str = ""
    stop: str = ""


def judge(
    *, kind: Kind, value: float | None, word: str, rope_diameter_mm: float | None
) -> Judgement:
    """Return the judgement on one reading, by its kind's band or words."""
    if kind.is_worded:
        if word not in kind.unsafe_words:
            return Judgement()
        return Judgement(
            reason=f"{kind.code}: {word}",
            warning=f"{kind.code}: {word}",
            stop=STOP,
        )
    if value is None:
        raise ValueError(f"{kind.code} has neither a number nor a word")
    low = _broken(kind.low, value, rope_diameter_mm, below=True)
    high = _broken(kind.high, value, rope_diameter_mm, below=False)
    broken = low or high
    if broken is None:
        return Judgement()
    bound, limit = broken
    side = "below" if broken is low else "above"
    reason = f"{value:g} is {side} {limit:g}, the end of the usual band"
    if bound.unsafe:
        return Judgement(
            state=ReadingState.UNCONFIRMED, reason=reason, warning=MEASURE_AGAIN
        )
    return Judgement(
        state=ReadingState.HELD,
        reason=reason,
        warning="held: kept and shown, not used until someone confirms it",
    )


def _broken(
    bound: Bound | None, value: float, rope_diameter_mm: float | None, *, below: bool
) -> tuple[Bound, float] | None:
    """Return the bound that a value breaks, with its limit; None if it keeps it."""
    if bound is None:
        return None
    limit = bound.at(rope_diameter_mm=rope_diameter_mm)
    if limit is None:
        return None
    broken = value < limit if below else value > limit
    return (bound, limit) if broken else None
