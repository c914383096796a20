"""What a value breaks: the bands of a kind as a list, and the one way to read it.

The intake judges by this list and packs carry it to phones, so that a cellar without
signal hears what the server would say. Bands decide what is held and what acts at
once; what they are is said by the kind alone.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from inspections.kinds.kind import BandEnd, Kind

_NEAR = 1e-9


class End(StrEnum):
    """How a value and a band are compared."""

    BELOW = "below"
    ABOVE = "above"
    AT_OR_BELOW = "at_or_below"
    EQUALS = "equals"


class Acts(StrEnum):
    """What a broken band does: hold back, act as if true, tell at once, stop."""

    HOLD = "hold"
    AGAIN = "again"
    TELL = "tell"
    STOP = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One comparison: `at` is a number in the canonical unit, or a word."""

    end: End
    at: float | str
    unsafe: bool
    acts: Acts


def bands(*, kind: Kind, rope_diameter_mm: float | None) -> tuple[Band, ...]:
    """Return a kind's bands, in the order in which they are read.

    Those that are multiples of a rope's diameter are left out where it is not known.
    """
    words = tuple(
        Band(
            end=End.EQUALS,
            at=word,
            unsafe=True,
            acts=Acts.STOP if kind.stops else Acts.TELL,
        )
        for word in kind.unsafe_words
    )
    stops = kind.stops_at_or_below
    floor = () if stops is None else (_stopping(stops),)
    return (
        *words,
        *floor,
        *_end(kind.low, End.BELOW, rope_diameter_mm),
        *_end(kind.high, End.ABOVE, rope_diameter_mm),
    )


def broken(
    found: tuple[Band, ...], *, value: float | None = None, word: str | None = None
) -> tuple[Band, ...]:
    """Return the bands that a value or word breaks.

    Of the two ends of what is usual only the first that is broken counts.
    """
    beyond = tuple(band for band in found if _is_broken(band, value=value, word=word))
    usual = [band for band in beyond if band.end in (End.BELOW, End.ABOVE)]
    return tuple(band for band in beyond if band not in usual[1:])


def is_blind(*, kind: Kind, rope_diameter_mm: float | None) -> bool:
    """Tell whether a band of the kind cannot be read for want of the diameter."""
    ends = (kind.low, kind.high)
    return rope_diameter_mm is None and any(end and end.per_diameter for end in ends)


def _stopping(at: float) -> Band:
    return Band(end=End.AT_OR_BELOW, at=at, unsafe=True, acts=Acts.STOP)


def _end(
    bound: BandEnd | None, end: End, rope_diameter_mm: float | None
) -> tuple[Band, ...]:
    at = bound.at(rope_diameter_mm=rope_diameter_mm) if bound is not None else None
    if bound is None or at is None:
        return ()
    acts = Acts.AGAIN if bound.unsafe else Acts.HOLD
    return (Band(end=end, at=at, unsafe=bound.unsafe, acts=acts),)


def _is_broken(band: Band, *, value: float | None, word: str | None) -> bool:
    if isinstance(band.at, str):
        return word == band.at
    if value is None:
        return False
    if band.end is End.AT_OR_BELOW:
        return value <= band.at
    # The end of what is usual is outside on the unsafe side and inside on the other: a
    # rope tension of nothing is not usual. 0.85 x 13 is not quite 11.05 in binary.
    if math.isclose(value, band.at, rel_tol=_NEAR, abs_tol=_NEAR):
        return band.unsafe
    return value < band.at if band.end is End.BELOW else value > band.at
