"""Is a reading plausible? Holding is one-sided.

An implausible reading on the unsafe side acts as if true until it is measured again;
only an implausibly good one is held back. The bands are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fleet.platform.units import QUANTITIES
from inspections.kinds import Kind
from inspections.kinds.bands import Acts, Band, End, bands, broken, is_blind
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

_SAID = {End.BELOW: Code.BAND_BELOW, End.ABOVE: Code.BAND_ABOVE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """What the sender is told at once: in English, and by a code for other words."""

    code: str
    text: str
    given: tuple[tuple[str, str], ...] = ()

    def as_json(self) -> dict[str, str]:
        return {"code": self.code, **dict(self.given)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """How a reading is stored, and what the sender is told at once."""

    state: str = ReadingState.STORED
    said: Reason | None = None
    warnings: tuple[Warned, ...] = ()
    stop: str = ""

    @property
    def warning(self) -> str:
        """Return all that is told, in English."""
        return in_english(self.warnings)

    @property
    def reason(self) -> str:
        """Return why in English, as it is stored beside the code."""
        return str(self.said or "")


_NOT_CHECKED = Warned(code="not-checked", text=NOT_CHECKED)
_MEASURE_AGAIN = Warned(code="measure-again", text=MEASURE_AGAIN)
_HELD_BACK = Warned(code="held", text=HELD_BACK)


def in_english(warnings: Iterable[Warned]) -> str:
    """Return warnings in one line."""
    return "; ".join(each.text for each in warnings)


def judge(
    *, kind: Kind, value: float | None, word: str, rope_diameter_mm: float | None
) -> Judgement:
    """Return the judgement on one reading, by its kind's band or words."""
    if not kind.is_worded and value is None:
        raise ValueError(f"{kind.code} has neither a number nor a word")
    found = broken(
        bands(kind=kind, rope_diameter_mm=rope_diameter_mm), value=value, word=word
    )
    if kind.is_worded or value is None:
        return _of_word(kind, word, found)
    judged = _of_number(kind, value, found)
    if not judged.said and is_blind(kind=kind, rope_diameter_mm=rope_diameter_mm):
        return replace(judged, warnings=(_NOT_CHECKED,))
    return judged


def _of_word(kind: Kind, word: str, found: tuple[Band, ...]) -> Judgement:
    if not found:
        return Judgement()
    said = because(Code.WORD_UNSAFE, kind=kind.code, word=word)
    told = Warned(code="word-unsafe", text=str(said))
    return Judgement(said=said, warnings=(told,), stop=_stop(found))


def _of_number(kind: Kind, value: float, found: tuple[Band, ...]) -> Judgement:
    outside = [band for band in found if band.end in _SAID]
    if not outside:
        return Judgement(stop=_stop(found))
    [band] = outside
    unit = QUANTITIES[kind.quantity].canonical
    return Judgement(
        state=ReadingState.UNCONFIRMED if band.unsafe else ReadingState.HELD,
        said=because(
            _SAID[band.end],
            value=Quantity(value, unit),
            limit=Quantity(float(band.at), unit),
        ),
        warnings=(_MEASURE_AGAIN if band.unsafe else _HELD_BACK,),
        stop=_stop(found),
    )


def _stop(found: tuple[Band, ...]) -> str:
    return STOP if any(band.acts is Acts.STOP for band in found) else ""
