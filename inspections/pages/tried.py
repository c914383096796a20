"""An answer of a scenario as a page shows it, in the reader's own words."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inspections import wording
from inspections.decisions.records import OptionKind
from inspections.decisions.records.kind import work_of
from inspections.models import Grade
from inspections.reasons import Reason
from inspections.reasons.places import place_of
from inspections.reasons.serial import item_from_json
from inspections.scenarios import notes, words

# A picture of traction over the life of the seats, in its units.
_WIDE, _HIGH = 600, 180
_QUANTILES = ("p10", "p50", "p90")


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedLine:
    """One number on both sides, with what it is called."""

    called: Any
    unit: str
    now: float | None
    then: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedCase:
    """One load case: margin as cut and the least over the life, on both sides."""

    called: Any
    now: Mapping[str, Any] | None
    then: Mapping[str, Any] | None


def shown(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the template says of an answer."""
    rows = answer["findings"]
    changed = _together(row for row in rows if row["turn"] != "SAME")
    return {
        "answer": answer,
        "changes": [
            _change(name, answer["changes"][name])
            for name in words.ITEMS
            if name in answer["changes"]
        ],
        "notes": [_note(note) for note in answer["notes"]],
        "rows": [row | {"said": words.TURNS[row["turn"]]} for row in changed],
        "turned": {
            turn: sum(row["turn"] == turn.upper() for row in rows)
            for turn in ("worse", "better", "not_compared")
        },
        "urgent": sum(
            (row["then"] or {}).get("grade") == Grade.ACT_NOW for row in rows
        ),
        "same": sum(row["turn"] == "SAME" for row in rows),
        "lines": list(_lines(answer["figures"])),
        "cases": list(_cases(answer)),
        "course": _course(answer),
        "cut": _cut(answer["cut"]),
        "dates": list(_dates(answer.get("dates") or ())),
        "wear": answer.get("wear_scale"),
        "friction": _friction(answer.get("friction")),
        "limits": [_limit(row) for row in answer.get("makers_limits") or ()],
        "after": _after(answer.get("after_work")),
        "cost": _cost(answer.get("cost")),
    }


def _together(rows: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return equal findings of several grooves or ropes as one line with each."""
    found: dict[str, dict[str, Any]] = {}
    for row in rows:
        own = place_of(row["place"])
        alike = {**row, "place": own.spot if own.numbers else row["place"]}
        key = json.dumps(alike, sort_keys=True)
        first = found.setdefault(key, {**row, "numbers": []})
        first["numbers"] += own.numbers
        if first["numbers"]:
            first["place"] = f"{own.spot} {', '.join(first['numbers'])}"
    return list(found.values())


def _change(name: str, value: Any) -> dict[str, Any]:
    called, unit = words.ITEMS[name]
    if isinstance(value, str):
        word = words.named(value)
        return {"called": called, "word": word, "value": None, "unit": ""}
    return {"called": called, "word": "", "value": value, "unit": unit}


def _note(note: Mapping[str, str]) -> Any:
    try:
        return notes.WORDS[notes.Note(note["code"])]
    except ValueError:
        return note["words"]


def _lines(figures: Sequence[Mapping[str, Any]]) -> Any:
    for each in figures:
        if each["now"] is None and each["then"] is None:
            continue
        if each["name"] in words.FIGURES:
            called, unit = words.FIGURES[each["name"]]
            yield TriedLine(
                called=called, unit=unit, now=each["now"], then=each["then"]
            )


def _cases(answer: Mapping[str, Any]) -> Any:
    sides = [_by_case(answer[f"traction_{side}"]) for side in ("now", "then")]
    for name, called in words.CASES.items():
        now, then = (side.get(name) for side in sides)
        if now or then:
            yield TriedCase(called=called, now=now, then=then)


def _by_case(course: Mapping[str, Any] | None) -> dict[str, Any]:
    cases = course["cases"] if course else ()
    return {each["case"]: each | {"as_cut": each["margins"][0]} for each in cases}


def _course(answer: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the least margin of all cases against depth, as lines of a picture."""
    sides = {}
    for side in ("now", "then"):
        course = answer[f"traction_{side}"]
        line = _least(course) if course else []
        if line:
            sides[side] = line
    if not sides:
        return None
    points = [point for line in sides.values() for point in line]
    deepest = max(depth for depth, _ in points) or 1.0
    high = max([0.05, *(margin for _, margin in points)])
    low = min([-0.05, *(margin for _, margin in points)])

    def place(point: tuple[float, float]) -> str:
        depth, margin = point
        across = round(_WIDE * depth / deepest)
        return f"{across} {round(_HIGH * (high - margin) / (high - low))}"

    drawn = {side: "M" + "L".join(map(place, line)) for side, line in sides.items()}
    return {
        **drawn,
        "zero": round(_HIGH * high / (high - low)),
        "deepest": deepest,
        "high": high,
        "low": low,
    }


def _friction(learnt: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if learnt is None:
        return None
    sides = {
        side: [c | {"called": words.CASES[c["case"]]} for c in learnt.get(side, ())]
        for side in ("cases", "cases_then")
    }
    return {**learnt, **sides}


def _cost(cost: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if cost is None:
        return None
    kind = OptionKind(cost["option"]) if cost["option"] else None
    return {
        **cost,
        "kind": wording.name(work_of(kind)) if kind else "",
        "lacks": [_missing(each) for each in cost["missing_said"]],
        "not_priced": [words.ITEMS[name][0] for name in cost["not_priced"]],
    }


def _missing(said: Any) -> str:
    item = item_from_json(said)
    if isinstance(item, Reason):
        return wording.say(item)
    return "" if item is None else wording.name(item)


def _limit(row: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **row,
        "called": words.MAKERS_LIMITS[row["name"]],
        "said": words.TURNS[row["turn"]],
        "lacks": [words.NOT_ENTERED[name] for name in row["not_entered"]],
    }


def _after(after: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if after is None:
        return None
    rooms = [row | {"called": words.ROOMS[row["name"]]} for row in after["rooms"]]
    return {"rooms": rooms, "checks": [words.CHECKS_AFTER[c] for c in after["checks"]]}


def _dates(dates: Sequence[Mapping[str, Any]]) -> Any:
    """Yield each seat with its days as days."""
    for each in dates:
        sides = {
            side: each[side] and {q: _day(each[side][f"{q}_on"]) for q in _QUANTILES}
            for side in ("now", "then")
        }
        yield {"place": each["place"], "reached": each["reached"], **sides}


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _least(course: Mapping[str, Any]) -> list[tuple[float, float]]:
    counted = [c["margins"] for c in course["cases"] if not c["accepted_otherwise"]]
    if not counted:
        return []
    return [
        (depth, min(margins[place] for margins in counted))
        for place, depth in enumerate(course["depths_mm"])
    ]


def _cut(cut: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if cut is None:
        return None
    return {
        **cut,
        "said": words.CUTS.get(cut["answer"], cut["answer"]),
        "lacks": [_missing(each) for each in cut.get("missing_said") or ()],
    }
