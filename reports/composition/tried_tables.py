"""What was tried of a machine, in tables: as it is beside as it would be."""

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.reasons import Topic
from inspections.reasons.places import place_of, together
from inspections.scenarios import words as called
from reports import content
from reports.composition import reasons, words
from reports.composition.reader import Reader
from reports.composition.wording import wording as fixed

Answer = Mapping[str, Any]

_MOST_LINES = 24
_SAME, _BETTER, _WORSE, _NOT_COMPARED = "SAME", "BETTER", "WORSE", "NOT_COMPARED"
_OF_CASES = (Topic.TRACTION_OF_CASE, Topic.TRACTION_STALLED)
_ASKS = ("ACT_NOW", "PLAN_WORK")


def findings(answer: Answer, *, reader: Reader) -> content.Table:
    """Return what would be found on both sides, the worse first."""
    rows = answer["findings"]
    turned = _alike(_cautious([row for row in rows if row["turn"] != _SAME]))
    same = sum(row["turn"] == _SAME for row in rows)
    shown = tuple(_row(each, reader=reader) for each in turned[:_MOST_LINES])
    told = [
        ngettext(
            "%(count)s finding would stay the same.",
            "%(count)s findings would stay the same.",
            same,
        )
        % {"count": same}
    ]
    if more := len(turned) - len(shown):
        told.append(_("%(count)s more stand on the scenario's page.") % {"count": more})
    told.append(
        _("Margins stand with both ends of what is open; what goes is never better.")
    )
    return content.Table(
        title=_("What would be found, now and then"),
        columns=(
            content.Column(heading=_("Finding"), share=1.6),
            content.Column(heading=_("As it is"), share=1.9),
            content.Column(heading=_("As it would be"), share=1.9),
            content.Column(heading=_("By this calculation"), share=0.9),
        ),
        rows=shown or ((_("No finding would change."), "–", "–", "–"),),
        note=" ".join(told),
    )


def _cautious(rows: Sequence[Answer]) -> list[Answer]:
    """Return rows in which traction is not better where one of its cases is worse."""
    is_worse = any(row["turn"] == _WORSE and row["topic"] in _OF_CASES for row in rows)
    if not is_worse:
        return list(rows)
    return [
        {**row, "turn": _NOT_COMPARED}
        if row["topic"] == Topic.TRACTION and row["turn"] == _BETTER
        else row
        for row in rows
    ]


def _alike(rows: Sequence[Answer]) -> list[tuple[Answer, list[str]]]:
    """Return rows that differ in their place alone as one, with all places."""
    found: dict[str, tuple[Answer, list[str]]] = {}
    for row in rows:
        own = place_of(row["place"])
        alike = {**row, "place": str(own.spot) if own.numbers else row["place"]}
        key = json.dumps(alike, sort_keys=True)
        found.setdefault(key, (row, []))[1].append(row["place"])
    return list(found.values())


def _row(found: tuple[Answer, list[str]], *, reader: Reader) -> tuple[str, ...]:
    row, places = found
    what = words.topic(row["topic"]).what
    where = words.places(together(place_of(place) for place in places if place))
    return (
        f"{what} · {where}" if where else what,
        _side(row["now"], reader=reader),
        _side(row["then"], reader=reader),
        str(called.TURNS.get(row["turn"], row["turn"])),
    )


def _side(side: Answer | None, *, reader: Reader) -> str:
    if side is None:
        return "–"
    parts = [fixed().of_grade(content.PrintedGrade(side["grade"]))]
    unit = side["unit"]
    if side["value"] is not None and side["limit"] is not None:
        parts.append(
            fixed().read_against.format(
                value=reader.quantity(side["value"], unit),
                limit=reader.quantity(side["limit"], unit),
            )
        )
    if side["worst"] is not None and side["best"] is not None:
        ends = {
            "low": reader.quantity(side["worst"], unit),
            "high": reader.quantity(side["best"], unit),
        }
        parts.append(_("margin from %(low)s to %(high)s") % ends)
    if side["reason_said"] and side["grade"] in _ASKS:
        said = reasons.stored(side["reason_said"], side["reason"], reader=reader)
        parts.append(said)
    return "\n".join(parts)


def traction(answer: Answer, *, reader: Reader) -> content.Table | None:
    """Return the margins of each load case, as cut and the least of the life."""
    now, then = (_by_case(answer[f"traction_{side}"]) for side in ("now", "then"))
    rows = tuple(
        (
            words.case(case),
            *_least(now.get(case), reader=reader),
            *_least(then.get(case), reader=reader),
        )
        for case in called.CASES
        if case in now or case in then
    )
    if not rows:
        return None
    return content.Table(
        title=_("Traction over the life of the seat"),
        columns=(
            content.Column(heading=_("Load case"), share=2.2),
            content.Column(heading=_("As it is, as cut"), align=content.Align.RIGHT),
            content.Column(heading=_("As it is, least"), align=content.Align.RIGHT),
            content.Column(heading=_("Would be, as cut"), align=content.Align.RIGHT),
            content.Column(heading=_("Would be, least"), align=content.Align.RIGHT),
        ),
        rows=rows,
        note=_("Margins; below 0 the calculation does not close."),
    )


def _by_case(course: Answer | None) -> dict[str, Answer]:
    return {each["case"]: each for each in (course["cases"] if course else ())}


def _least(case: Answer | None, *, reader: Reader) -> tuple[str, str]:
    if case is None:
        return "–", "–"
    ends = (case["margins"][0], case["least_margin"])
    first, least = (reader.quantity(each, "", signed=True) for each in ends)
    return first, least


def dates(answer: Answer, *, reader: Reader, today: date) -> content.Table | None:
    """Return when each seat would be due: one in ten sooner, nine in ten sooner."""
    rows = tuple(
        (
            words.place(each["place"]),
            _days(each["now"], reader=reader, today=today),
            _("at once")
            if each["reached"]
            else _days(each["then"], reader=reader, today=today),
        )
        for each in answer.get("dates") or ()
    )
    if not rows:
        return None
    return content.Table(
        title=_("When the seats would be due"),
        columns=(
            content.Column(heading=_("Where"), share=1.0),
            content.Column(heading=_("As it is"), share=2.0),
            content.Column(heading=_("As it would be"), share=2.0),
        ),
        rows=rows,
        note=_("80 % of forecasts fall between the days; a dash is not known."),
    )


def _days(side: Answer | None, *, reader: Reader, today: date) -> str:
    if not side:
        return "–"
    early, late = (
        reader.roughly(date.fromisoformat(side[name]), today=today)
        if side.get(name)
        else "–"
        for name in ("p10_on", "p90_on")
    )
    return f"{early} … {late}"


def figures(answer: Answer, *, reader: Reader) -> content.Table:
    """Return the numbers of both sides."""
    rows = []
    for each in answer["figures"]:
        if each["name"] not in called.FIGURES:
            continue
        what, unit = called.FIGURES[each["name"]]
        sides = tuple(reader.quantity(each[side], unit) for side in ("now", "then"))
        if sides != ("–", "–"):
            rows.append((str(what), *sides))
    return content.Table(
        title=_("Forces, pressure, ropes"),
        columns=(
            content.Column(heading=_("What"), share=2.4),
            content.Column(heading=_("As it is"), align=content.Align.RIGHT),
            content.Column(heading=_("As it would be"), align=content.Align.RIGHT),
        ),
        rows=tuple(rows),
    )
