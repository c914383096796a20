"""What would be surprising at a place: a part that grew, a value outside the band.

Wear goes one way. A reading better than the last one by more than three times the
scatter of both is more likely an error than a repair; our rule, no source. The usual
bands are those of intake: common practice, no source.
"""

from collections.abc import Iterator

from inspections.engineering import evidence
from inspections.kinds import BandEnd, Direction, Kind
from inspections.reasons import Code, Reason, because
from inspections.worklist.listed import LastReading, Surprising


def expect(
    *, kind: Kind, last: LastReading | None, rope_diameter_mm: float | None
) -> Surprising:
    """Return what would surprise at a place, by its last reading and the usual band."""
    if kind.is_worded:
        return Surprising(said=tuple(_of_words(kind, last)))
    low = _at(kind.low, rope_diameter_mm)
    high = _at(kind.high, rope_diameter_mm)
    said = list(_band(low, high))
    if _is_floor(kind):
        # Nothing is not surprising, and less than nothing is refused.
        low = None
    value = last.value if last is not None else None
    if value is not None:
        noise_mm = kind.noise_mm or 0.0
        apart = evidence.apart(one_sd=noise_mm, other_sd=noise_mm)
        if kind.course is Direction.FALLS and _is_nearer(
            value + apart, high, above=True
        ):
            high = value + apart
            said.append(because(Code.WOULD_HAVE_GROWN, value=high))
        if kind.course is Direction.RISES and _is_nearer(
            value - apart, low, above=False
        ):
            low = value - apart
            said.append(because(Code.WOULD_HAVE_SHRUNK, value=low))
        if kind.course is Direction.COUNTS_UP and value > 0:
            low = value - 1.0
            said.append(because(Code.FEWER_THAN_LAST, value=value))
    return Surprising(
        at_or_below=_plain(low), at_or_above=_plain(high), said=tuple(said)
    )


def _is_floor(kind: Kind) -> bool:
    low = kind.low
    return low is not None and not (low.value or low.unsafe or kind.signed)


def _plain(limit: float | None) -> float | None:
    """Return a limit without the noise of binary fractions."""
    return None if limit is None else round(limit, 6)


def _of_words(kind: Kind, last: LastReading | None) -> Iterator[Reason]:
    for word in kind.unsafe_words:
        yield because(Code.TOLD_AT_ONCE, word=word)
    if not kind.unsafe_words and last is not None and last.word in kind.words:
        now = kind.words.index(last.word)
        for place, word in enumerate(kind.words):
            if abs(place - now) > 1:
                yield because(Code.FAR_FROM_LAST, word=word, last=last.word)


def _at(bound: BandEnd | None, rope_diameter_mm: float | None) -> float | None:
    return bound.at(rope_diameter_mm=rope_diameter_mm) if bound else None


def _is_nearer(limit: float, other: float | None, *, above: bool) -> bool:
    return other is None or (limit < other if above else limit > other)


def _band(low: float | None, high: float | None) -> Iterator[Reason]:
    if low is not None and high is not None:
        yield because(Code.USUAL_FROM_TO, low=low, high=high)
    elif low is not None:
        yield because(Code.USUAL_FROM, low=low)
    elif high is not None:
        yield because(Code.USUAL_TO, high=high)
