"""Is a reading plausible? Holding is one-sided.

An implausible reading on the unsafe side acts as if true until it is measured again;
only an implausibly good one is held back. The bands are common practice, no source.
"""

import math
from dataclasses import dataclass

from fleet.platform.units import QUANTITIES
from inspections.kinds import BandEnd, Kind
from inspections.models import ReadingState
from inspections.reasons import Code, Quantity, Reason, because

MEASURE_AGAIN = "unconfirmed: act as if true, measure again now"
HELD_BACK = "held: kept and shown, not used until someone confirms it"
NOT_CHECKED = (
    "not checked for plausibility: no ropes are registered for that day, so their "
    "nominal diameter is not known"
)
STOP = (
    "Take the machine out of service until a competent person has decided; secure "
    "car and counterweight, lock out. Local code, the authority having jurisdiction "
    "and the licensed inspector decide when it returns."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """How a reading is stored, and what the sender is told at once."""

    state: str = ReadingState.STORED
    said: Reason | None = None
    warning: str = ""
    stop: str = ""

    @property
    def reason(self) -> str:
        """Return why in English, as it is stored beside the code."""
        return str(self.said or "")


def judge(
    *, kind: Kind, value: float | None, word: str, rope_diameter_mm: float | None
) -> Judgement:
    """Return the judgement on one reading, by its kind's band or words."""
    if kind.is_worded:
        return _of_word(kind, word)
    if value is None:
        raise ValueError(f"{kind.code} has neither a number nor a word")
    return _of_number(kind, value, rope_diameter_mm)


def _of_word(kind: Kind, word: str) -> Judgement:
    if word not in kind.unsafe_words:
        return Judgement()
    said = because(Code.WORD_UNSAFE, kind=kind.code, word=word)
    return Judgement(said=said, warning=str(said), stop=STOP if kind.stops else "")


def _of_number(kind: Kind, value: float, rope_diameter_mm: float | None) -> Judgement:
    stop = ""
    if kind.stops_at_or_below is not None and value <= kind.stops_at_or_below:
        stop = STOP
    low = _broken(kind.low, value, rope_diameter_mm, below=True)
    broken = low or _broken(kind.high, value, rope_diameter_mm, below=False)
    if broken is not None:
        return _outside(kind, value, *broken, below=low is not None, stop=stop)
    if rope_diameter_mm is None and _needs_diameter(kind):
        return Judgement(warning=NOT_CHECKED, stop=stop)
    return Judgement(stop=stop)


def _outside(
    kind: Kind, value: float, bound: BandEnd, limit: float, *, below: bool, stop: str
) -> Judgement:
    unit = QUANTITIES[kind.quantity].canonical
    return Judgement(
        state=ReadingState.UNCONFIRMED if bound.unsafe else ReadingState.HELD,
        said=because(
            Code.BAND_BELOW if below else Code.BAND_ABOVE,
            value=Quantity(value, unit),
            limit=Quantity(limit, unit),
        ),
        warning=MEASURE_AGAIN if bound.unsafe else HELD_BACK,
        stop=stop,
    )


def _needs_diameter(kind: Kind) -> bool:
    return any(
        bound is not None and bound.per_diameter for bound in (kind.low, kind.high)
    )


def _broken(
    bound: BandEnd | None, value: float, rope_diameter_mm: float | None, *, below: bool
) -> tuple[BandEnd, float] | None:
    """Return the bound that a value breaks, with its limit; None if it keeps it.

    The end of the band itself is outside on the unsafe side and inside on the other:
    a rope tension of nothing is not usual.
    """
    if bound is None:
        return None
    limit = bound.at(rope_diameter_mm=rope_diameter_mm)
    if limit is None:
        return None
    # 0.85 x 13 is not quite 11.05 in binary.
    if math.isclose(value, limit, rel_tol=1e-9, abs_tol=1e-9):
        return (bound, limit) if bound.unsafe else None
    beyond = value < limit if below else value > limit
    return (bound, limit) if beyond else None
