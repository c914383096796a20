"""One kind of reading in a step, with every place at which it is to be taken."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from django.utils.translation import gettext

from fleet.platform import units
from inspections import wording
from inspections.intake.judge import HELD_BACK, MEASURE_AGAIN, STOP
from inspections.kinds import KINDS, NUMBERS, PLACE_VALUES, Kind, Subject
from inspections.kinds.bands import Acts, Band, End, bands, is_blind
from inspections.models import Reading
from inspections.packs import alone
from inspections.reasons import Code, Quantity, Reason, because
from inspections.worklist import ListedReading, ListedStep, WorklistFacts
from inspections.worklist.facts import place_of

_AT_A_LIMIT = "This alone is at a limit of the machine's own criteria, or beyond."
_MOST_REASONS = 2
_OFTEN_ALIKE = ("last", "reasons", "limit", "surprising")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackReader:
    """In which units somebody reads; the language is the active one."""

    family: str
    # The same is said of many places and machines.
    known: dict[Hashable, str] = field(default_factory=dict, repr=False, compare=False)

    def say(self, said: Reason) -> str:
        """Return a reason in words."""
        found = self.known.get(said)
        if found is None:
            found = self.known[said] = wording.say(said, family=self.family)
        return found

    def amount(self, value: float, unit: str) -> str:
        """Return a number with its unit."""
        asked = (value, unit)
        found = self.known.get(asked)
        if found is None:
            words = wording.ReadersWords(family=self.family)
            quantity = Quantity(value, unit if unit != "1" else "-")
            found = self.known[asked] = words.quantity(quantity, ".4g")
        return found


def of_step(
    facts: WorklistFacts,
    step: ListedStep,
    *,
    reader: PackReader,
    own: Mapping[str, alone.Bands],
) -> list[dict[str, Any]]:
    """Return the kinds of readings of a step, in its order."""
    return [
        _item(facts, KINDS[code], list(found), reader=reader, own=own.get(code, ()))
        for code, found in groupby(step.items, key=lambda item: item.kind)
    ]


def kinds(codes: Sequence[str], *, reader: PackReader) -> dict[str, dict[str, Any]]:
    """Return what holds of kinds of readings on every machine, by their codes."""
    return {code: _kind(KINDS[code], reader=reader) for code in codes}


def _kind(kind: Kind, *, reader: PackReader) -> dict[str, Any]:
    numbered = kind.subject in (Subject.ROPE, Subject.GROOVE)
    # A bound of nothing on the good side means that nothing cannot be read.
    floor = kind.low.value if kind.low is not None else 0.0
    return {
        "name": gettext(kind.name),
        "how": gettext(kind.how) if kind.how else "",
        "subject": kind.subject.value,
        "number_by": kind.subject.value if numbered else None,
        "quantity": kind.quantity,
        "units": _factors(kind.quantity),
        "unit": _usual(kind, reader),
        "signed": kind.signed,
        "whole": kind.quantity == "count",
        "above_zero": not kind.signed and floor > 0,
        "words": list(kind.words),
        "words_said": {word: gettext(word) for word in kind.words},
        "place_keys": [_key(key, kind) for key in (*kind.place, *kind.may)],
        "gauge": gettext(kind.gauge) if kind.gauge else "",
        # A machine's item has its own where they depend on its ropes.
        "bands": [] if _depends(kind) else _bands(kind, None),
    }


def _item(
    facts: WorklistFacts,
    kind: Kind,
    found: Sequence[ListedReading],
    *,
    reader: PackReader,
    own: alone.Bands,
) -> dict[str, Any]:
    diameter = facts.rope_diameter_mm
    places = [
        _place(facts, item, at, reader=reader) for item in found for at in item.boxes
    ]
    every = {key: places[0][key] for key in _OFTEN_ALIKE if _alike(places, key)}
    return {
        "kind": kind.code,
        "every": every,
        "places": [
            {
                key: value
                for key, value in place.items()
                if key not in every and (value or key not in _OFTEN_ALIKE)
            }
            for place in places
        ],
        "not_checked": is_blind(kind=kind, rope_diameter_mm=diameter),
        "decides": _decides(found, reader=reader),
        **_own_bands(kind, diameter, own),
    }


def _own_bands(kind: Kind, diameter: float | None, own: alone.Bands) -> dict[str, Any]:
    """Return the bands of an item that are not those of its kind everywhere."""
    if not own and not _depends(kind):
        return {}
    return {"bands": [*_bands(kind, diameter), *own]}


def _depends(kind: Kind) -> bool:
    """Tell whether a kind's bands are others for other ropes."""
    return is_blind(kind=kind, rope_diameter_mm=None)


def _bands(kind: Kind, diameter: float | None) -> list[dict[str, Any]]:
    found = bands(kind=kind, rope_diameter_mm=diameter)
    return [_band(kind, band) for band in found]


def _alike(places: Sequence[dict[str, Any]], key: str) -> bool:
    return all(place[key] == places[0][key] for place in places)


def _place(
    facts: WorklistFacts, item: ListedReading, at: dict[str, Any], *, reader: PackReader
) -> dict[str, Any]:
    return {
        "number": item.number,
        "place": at,
        "words": _words(item, at),
        "last": _last(facts, item, at),
        "reasons": _why([item], reader=reader),
        "limit": _limit(item, reader=reader),
        "surprising": {
            "words": _surprising(item, reader=reader),
            "at_or_below": item.surprising.at_or_below,
            "at_or_above": item.surprising.at_or_above,
        },
    }


def _words(item: ListedReading, at: dict[str, Any]) -> str:
    named = []
    if item.number is not None:
        named.append(wording.place(f"{item.subject} {item.number}"))
    for key, value in at.items():
        named.append(f"{gettext(key.replace('_', ' '))} {gettext(str(value))}")
    return ", ".join(named)


def _last(
    facts: WorklistFacts, item: ListedReading, at: dict[str, Any]
) -> dict[str, Any] | None:
    """Return the latest usable reading at the very place."""
    found: Reading | None = None
    for reading in facts.snapshot.of_kind(item.kind):
        subject = place_of(reading)
        is_here = subject is not None and subject.number == item.number
        if is_here and at.items() <= reading.place.items():
            found = reading
    if found is None:
        return None
    return {
        "value": found.value,
        "unit": item.unit,
        "word": found.word,
        "on": facts.day_of(found.taken_at),
    }


def _why(found: Sequence[ListedReading], *, reader: PackReader) -> list[str]:
    """Return the most pressing reasons, each once."""
    ranked = sorted((r for item in found for r in item.reasons), key=lambda r: r.why)
    return list(dict.fromkeys(reader.say(r.said) for r in ranked))[:_MOST_REASONS]


def _decides(found: Sequence[ListedReading], *, reader: PackReader) -> str:
    """Return the reason of which most depends, "" where nothing does."""
    reasons = [reason for item in found for reason in item.reasons if reason.worth]
    if not reasons:
        return ""
    return reader.say(max(reasons, key=lambda reason: reason.worth).said)


def _limit(item: ListedReading, *, reader: PackReader) -> str:
    """Return the limit that the very number read was held against."""
    last, limit = item.last, item.limit
    if last is None or limit is None:
        return ""
    if (limit.judged, limit.unit) != (last.value, last.unit):
        return ""
    return reader.amount(limit.value, limit.unit)


def _surprising(item: ListedReading, *, reader: PackReader) -> str:
    ends = [
        f"{sign} {reader.amount(end, item.unit)}"
        for sign, end in (
            ("≤", item.surprising.at_or_below),
            ("≥", item.surprising.at_or_above),
        )
        if end is not None
    ]
    if ends:
        return gettext("measure once more at {ends}").format(ends=", ".join(ends))
    if KINDS[item.kind].is_worded:
        return "; ".join(reader.say(said) for said in item.surprising.said)
    return ""


def _factors(quantity: str) -> dict[str, list[str]]:
    """Return what one of each unit is in the canonical one, as exact fractions."""
    if not quantity:
        return {}
    exact = {
        unit: units.factor(quantity=quantity, unit=unit)
        for unit in units.QUANTITIES[quantity].units
    }
    return {
        unit: [str(factor.numerator), str(factor.denominator)]
        for unit, factor in exact.items()
    }


def _usual(kind: Kind, reader: PackReader) -> str:
    if not kind.quantity:
        return ""
    return units.readers_unit(quantity=kind.quantity, family=reader.family)


def _key(key: str, kind: Kind) -> dict[str, Any]:
    return {
        "key": key,
        "words": gettext(key.replace("_", " ")),
        "values": [
            {"value": value, "words": gettext(value)} for value in PLACE_VALUES[key]
        ]
        or None,
        "number": NUMBERS.get(key),
        "needed": key in kind.place,
    }


def _band(kind: Kind, band: Band) -> dict[str, Any]:
    """Return a band; what it does is worded by `band_words` unless it has its own."""
    found = {
        "end": band.end.value,
        "at": band.at,
        "unsafe": band.unsafe,
        "acts": band.acts.value,
    }
    own = {"words": _of_word(kind, band)} if band.end is End.EQUALS else {}
    return found | own


def band_words() -> dict[str, str]:
    """Return what is said of a number that breaks a band, by what the band does."""
    said = {
        Acts.STOP.value: STOP,
        Acts.AGAIN.value: MEASURE_AGAIN,
        Acts.HOLD.value: HELD_BACK,
        alone.CRITERIA: _AT_A_LIMIT,
    }
    return {acts: gettext(words) for acts, words in said.items()}


def _of_word(kind: Kind, band: Band) -> str:
    told = wording.say(because(Code.WORD_UNSAFE, kind=kind.code, word=str(band.at)))
    return f"{told}. {gettext(STOP)}" if band.acts is Acts.STOP else told
