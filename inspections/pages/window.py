"""The groove window of a machine as a map, and as a table of the same."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy

from fleet.platform.errors import DomainError
from fleet.platform.pages.forms import (
    NumberField,
    PageForm,
    QuantityField,
    numbers,
)
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register.choices import GrooveForm
from inspections.pages import refusing
from inspections.pages.base import VerdictPage
from inspections.pages.trying import machine_of, typed
from inspections.scenarios import (
    answering,
    keeping,
    window,
    window_given,
    words,
)

# One cell of the map, in the units of its picture.
_WIDE, _HIGH = 20, 20
_FORMS = dict(GrooveForm.choices)


class WindowForm(PageForm):
    """What is demanded of the grooves; what stays empty is as registered, or usual."""

    margin = NumberField(
        label=gettext_lazy("Margin that every load case keeps, from 0 to 0.5"),
        least=0.0,
        most=0.5,
        required=False,
    )
    to_depth_mm = QuantityField(
        label=gettext_lazy("Seat depth up to which all holds; empty: the bottom"),
        quantity="length",
        least=0.1,
        most=30.0,
        required=False,
    )
    seat_radius_mm = QuantityField(
        label=gettext_lazy("Radius of a turned seat"),
        quantity="length",
        least=2.0,
        most=40.0,
        required=False,
    )
    bottom_clearance_mm = QuantityField(
        label=gettext_lazy("Clearance of an undercut as cut"),
        quantity="length",
        least=0.1,
        most=50.0,
        required=False,
    )
    hardened_depth_mm = QuantityField(
        label=gettext_lazy("Depth of hardening after the cut"),
        quantity="length",
        least=0.0,
        most=20.0,
        required=False,
    )
    no_pressure = forms.BooleanField(
        label=gettext_lazy("Leave out the old limit on pressure"), required=False
    )

    def asked(self) -> window_given.AskedWindow:
        """Return what was demanded."""
        given = dict(self.cleaned_data)
        limit = not given.pop("no_pressure")
        known = {name: value for name, value in given.items() if value is not None}
        return window_given.AskedWindow(limit_pressure=limit, **known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A form with its angles in the map; `share` of the depths hold."""

    left: int
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowRow:
    """One line of the map, and its words."""

    top: int
    form: Any
    mouth: float | None
    cells: Sequence[Cell]
    first: float
    last: float
    holding: str


class WindowPage(VerdictPage):
    """Every form, angle and depth of cut with which the machine holds."""

    template_name = "inspections/pages/window.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show the window as demanded, the usual one where nothing is."""
        machine = machine_of(self, pk)
        given = typed(request.GET, WindowForm.base_fields, self.preferences)
        form = WindowForm(given, preferences=self.preferences)
        context: dict[str, Any] = {"machine": machine, "form": form}
        if not form.is_valid():
            return self.answer(context=context, status=422)
        try:
            snapshot = keeping.snapshot_of(
                scope=self.scope, machine_id=pk, now=timezone.now()
            )
            looked = window.look(snapshot, form.asked())
        except DomainError as error:
            words = refusing.of_scenario(error, family=self.preferences.family)
            form.add_error(None, words)
            return self.answer(context=context, status=422)
        found = _shown(answering.of_window(looked), self.preferences.language)
        return self.answer(context=context | found)


def _shown(found: Mapping[str, Any], language: str) -> dict[str, Any]:
    rows = _rows(found["shapes"])
    return {
        "window": found,
        "rows": rows,
        "wide": max(len(row.cells) for row in rows) * _WIDE,
        "high": len(rows) * _HIGH,
        "middle": found["middle"] and _cut(found["middle"]),
        "try_it": urlencode(
            {
                name: value
                if isinstance(value, str)
                else numbers.written(value, language=language)
                for name, value in found["middle_changes"].items()
            }
        ),
        "left_out": [words.DEMANDS[name] for name in found["left_out"]],
        "conflicts": [
            {
                "demands": [words.DEMANDS[name] for name in each["demands"]],
                "nearest": _cut(each["nearest"]),
            }
            for each in found["conflicts"]
        ],
        "openings": [
            {"by": words.OPENINGS[each["by"]], "middle": _cut(each["middle"])}
            for each in found["openings"]
        ],
    }


def _cut(cut: Mapping[str, Any]) -> dict[str, Any]:
    slack = [
        {
            "called": words.DEMANDS[each["demand"]],
            "slack": each["slack"],
            # Kept in centimetres, so that it is of the size of the others.
            "metal_mm": each["slack"] * 10.0 if each["demand"] == "RIM" else None,
        }
        for each in cut.get("slack", ())
        if each["demand"] != "FORM"
    ]
    return {**cut, "called": _FORMS[cut["form"]], "slack": slack}


def _rows(shapes: Sequence[Mapping[str, Any]]) -> list[WindowRow]:
    """Return a line for V and round, and one for each mouth of the undercut."""
    lines: list[tuple[str, float | None, list[Mapping[str, Any]]]] = []
    for form in ("V", "ROUND"):
        lines.append((form, None, [each for each in shapes if each["form"] == form]))
    undercut = [each for each in shapes if each["form"] == "UNDERCUT"]
    undercut.sort(key=lambda each: each["groove_angle_deg"])
    for mouth, own in groupby(undercut, key=lambda each: each["groove_angle_deg"]):
        lines.append(("UNDERCUT", float(mouth), list(own)))
    return [
        _row(top * _HIGH, form, mouth, own)
        for top, (form, mouth, own) in enumerate(lines)
        if own
    ]


def _row(
    top: int, form: str, mouth: float | None, own: Sequence[Mapping[str, Any]]
) -> WindowRow:
    angle = "undercut_angle_deg" if form == "UNDERCUT" else "groove_angle_deg"
    most = max((len(each["depths_mm"]) for each in own), default=0)
    angles = [each[angle] for each in own]
    return WindowRow(
        top=top,
        form=_FORMS[form],
        mouth=mouth,
        cells=[
            Cell(left=n * _WIDE, share=len(each["depths_mm"]) / most if most else 0.0)
            for n, each in enumerate(own)
        ],
        first=min(angles),
        last=max(angles),
        holding=_holding(own, angle),
    )


def _holding(own: Sequence[Mapping[str, Any]], angle: str) -> str:
    """Return the angles that hold at any depth, neighbours drawn together."""
    spans: list[list[float]] = []
    before = False
    for each in own:
        holds = bool(each["depths_mm"])
        if holds and before:
            spans[-1][-1] = each[angle]
        elif holds:
            spans.append([each[angle], each[angle]])
        before = holds
    return ", ".join(
        f"{first:g}°" if first == last else f"{first:g}°–{last:g}°"
        for first, last in spans
    )
