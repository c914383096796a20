"""What the phone says of a reading is what the server will say of it."""

import random
from collections import Counter
from typing import Any

import pytest

from fleet.platform import units
from inspections.engineering import criteria
from inspections.engineering.discard import Observation
from inspections.intake.judge import NOT_CHECKED, Judgement, judge
from inspections.intake.problems import RefusedReading
from inspections.intake.reading import read_reading
from inspections.kinds import KINDS, PLACE_VALUES, Kind, Subject
from inspections.kinds.bands import bands, is_blind
from inspections.packs import alone, items
from tests.browser.field.phone import call

COUNT = 10_000
DIAMETERS_MM = (None, 8.0, 13.0, 12.7, 16.0)
OWN = (*alone.COUNTS, *alone.LENGTHS, alone.ROUGE, alone.DIAMETER, alone.CLEARANCE)
ROPES = ((8.0, 6), (12.7, 8), (13.0, 8), (16.0, 9))
ODD = ("", "x", "1,5", "1e3", "-0", "0", "1/0", "9999999999", "0.0000000001")


@pytest.mark.parametrize("count", [1_000, pytest.param(COUNT, marks=pytest.mark.long)])
def test_thousands_of_random_readings_are_judged_alike(page, count):
    chance = random.Random(16)
    asked = [_any(chance) for _ in range(count)]
    expected = [_by_intake(kind, *given) for kind, *given in asked]

    found = call(
        page,
        """return given[0].map(([item, text, unit]) => {
          const answer = bands.judge(item, text, unit);
          return answer.fault ? null
            : [answer.state, answer.judged.acts === 'stop', answer.judged.acts !== ''];
        });""",
        [(_item(kind, d), text, unit) for kind, text, unit, d in asked],
    )

    differing = [
        (kind.code, text, unit, d, ours, theirs)
        for (kind, text, unit, d), ours, theirs in zip(
            asked, found, expected, strict=True
        )
        if ours != theirs
    ]
    assert not differing, differing[:10]
    for state in ("STORED", "HELD", "UNCONFIRMED"):
        assert (
            sum(each is not None and each[0] == state for each in found) > count // 33
        )
    assert sum(each is None for each in found) > count // 33
    assert sum(each is not None and each[1] for each in found) > count // 100


@pytest.mark.parametrize("count", [1_000, pytest.param(COUNT, marks=pytest.mark.long)])
def test_random_readings_stop_a_machine_by_its_own_criteria_alike(page, count):
    chance = random.Random(17)
    asked, expected, stopped = [], [], Counter()
    for n in range(count):
        diameter, strands = ROPES[n % len(ROPES)]
        new = Observation(
            nominal_diameter_mm=diameter,
            strands=strands,
            lay_length_as_fitted_mm=chance.choice((None, 6.5 * diameter)),
        )
        # A set with limits of its own for flats and rouge comes as often as all others.
        any_set = criteria.ALL[n % len(criteria.ALL)]
        chosen = chance.choice((any_set, criteria.find(code="MLIT_283")))
        own = {"new": new, "criteria_set": chosen}
        kind = chance.choice(OWN)
        text = _read(kind, diameter, chance)
        if kind == alone.CLEARANCE:
            found = alone.of_groove(criteria_set=chosen)
            stops = alone.is_near_the_bottom(float(text), criteria_set=chosen)
        else:
            found = alone.of_rope(**own)
            read = text if kind == alone.ROUGE else float(text)
            stops = alone.is_stopping(kind, read, **own)
        item = _item(KINDS[kind], diameter)
        asked.append((item | {"bands": list(found.get(kind, ()))}, text))
        expected.append(stops)
        stopped[kind, stops] += 1

    found = call(
        page,
        """return given[0].map(([item, text]) => {
          const unit = item.words.length ? '' : item.whole ? '1' : 'mm';
          return bands.judge(item, text, unit).judged.acts === 'stop'; });""",
        asked,
    )

    assert found == expected
    # Each kind stops and does not, but a lay: that is watched only, in every set.
    never = {kind for kind in OWN if not stopped[kind, True]}
    assert never == {"lay_length"}
    assert all(stopped[kind, False] for kind in OWN)


def _read(kind: str, diameter: float, chance: random.Random) -> str:
    """Return what is read, often near where something stops."""
    if kind == alone.ROUGE:
        return chance.choice(KINDS[kind].words)
    if kind == alone.DIAMETER:
        share = chance.choice((1.0, 0.94, 0.9, 0.96, chance.uniform(0.85, 1.01)))
        return f"{diameter * share:.3f}"
    if kind == alone.CLEARANCE:
        return f"{chance.choice((0.5, 0.0, chance.uniform(-1, 2))):.2f}"
    if kind in alone.LENGTHS:
        most = 8.0 if kind == "lay_length" else 1.0
        return f"{diameter * chance.uniform(0.01, most):.2f}"
    return str(chance.randint(0, 40))


def _any(chance: random.Random) -> tuple[Kind, str, str, float | None]:
    """Return a kind, what is typed, its unit, and the ropes' diameter."""
    kind = chance.choice(list(KINDS.values()))
    diameter = chance.choice(DIAMETERS_MM)
    if kind.is_worded:
        return kind, chance.choice((*kind.words, "perhaps")), "", diameter
    taken = units.QUANTITIES[kind.quantity]
    unit = chance.choice((*taken.units, "furlong"))
    if chance.random() < 0.05:
        return kind, chance.choice(ODD), unit, diameter
    ends = [b.at for b in bands(kind=kind, rope_diameter_mm=diameter)]
    near = float(chance.choice(ends or [10.0]))
    factor = (
        float(units.factor(quantity=kind.quantity, unit=unit))
        if unit in (taken.units)
        else 1.0
    )
    value = near * chance.choice((1.0, 1.0, 0.5, 1.5, 0.99, 1.01, -1.0)) / factor
    if kind.quantity == "count" and chance.random() < 0.8:
        value = round(value)
    digits = chance.choice((0, 1, 2, 3, 6, 9))
    return kind, f"{value:.{digits}f}", unit, diameter


def _item(kind: Kind, diameter: float | None) -> dict[str, Any]:
    """Return as much of an item as decides, as a pack has it."""
    found = bands(kind=kind, rope_diameter_mm=diameter)
    return {
        **items._kind(kind, reader=items.PackReader(family="METRIC")),
        "bands": [items._band(kind, band) for band in found],
        "not_checked": is_blind(kind=kind, rope_diameter_mm=diameter),
    }


def _by_intake(
    kind: Kind, text: str, unit: str, diameter: float | None
) -> list[Any] | None:
    """Return what the door says: None for a refusal, else state, stop, whether told."""
    numbered = kind.subject in (Subject.ROPE, Subject.GROOVE)
    reading = {
        "reference": "r-1",
        "kind": kind.code,
        "value": text,
        "taken_at": "2026-05-04T10:00:00+01:00",
        "place": {key: (PLACE_VALUES[key] or ("here",))[0] for key in kind.place},
        **({"unit": unit} if not kind.is_worded else {}),
        **({kind.subject.value: 1} if numbered else {}),
    }
    for key in kind.place:
        if key in ("axial_mm", "length_m", "free_length_mm", "load_kg"):
            reading["place"][key] = 10.0
    try:
        taken = read_reading(reading, pointer="", index=0, visited_at=None)
    except RefusedReading as refused:
        return ["place"] if "place" in refused.pointer else None
    said: Judgement = judge(
        kind=kind, value=taken.value, word=taken.word, rope_diameter_mm=diameter
    )
    told = said.warning not in ("", NOT_CHECKED) or bool(said.stop)
    return [said.state, bool(said.stop), told]
