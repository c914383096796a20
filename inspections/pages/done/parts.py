"""The new parts that work leaves behind: asked as fields, told as the activity takes.

What is not asked is as it was only where work leaves it so; what a cut or a new part
has made other is measured, or not known.
"""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.db import models
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import SheaveGeometry
from fleet.platform.pages.forms import NumberField, QuantityField, Refused
from fleet.register import choices
from fleet.register.choices import WorkKind
from inspections import page
from inspections.completion import TAKES
from inspections.pages import laying

Said = dict[str, Any]
GROOVES, ROPES = "grooves_count", "ropes_count"
NEW_RIMS = (WorkKind.RIM_RENEWAL, WorkKind.SHEAVE_REPLACEMENT)
_SAME_ROPES = ("suspension", "strand_class", "core", "outer_grade_mpa")
_NOT_COPIED = ("id", "contractor", "version", "created_at", "sheave", "valid_from")
_OF_SHEAVE = ("minimum_pitch_diameter_mm", "minimum_rim_mm", "datum_mark")
_OF_NEW_CUT = (
    *("form", "groove_angle_deg", "undercut_angle_deg", "bottom_clearance_new_mm"),
    *("surface", "groove_pitch_mm", "pitch_diameter_mm", "seat_radius_mm"),
    "hardened_depth_mm",
)


def fields(reported: str) -> Iterator[tuple[str, forms.Field]]:
    """Yield a field for each value of the parts that a kind of work renews."""
    takes = TAKES[WorkKind(reported)]
    if "geometry" in takes.needs:
        if reported in NEW_RIMS:
            yield from _of_new_rim()
        yield from _of_cut(is_new=reported in NEW_RIMS)
    if "rope_set" in (*takes.needs, *takes.may):
        yield from _of_ropes(is_needed="rope_set" in takes.needs)


def _of_new_rim() -> Iterator[tuple[str, forms.Field]]:
    yield (
        "form",
        forms.ChoiceField(
            label=_("Form of the grooves"),
            choices=[("", _("Choose")), *choices.GrooveForm.choices],
        ),
    )
    yield (
        GROOVES,
        NumberField(label=_("Number of grooves"), whole=True, least=1, most=24),
    )
    yield (
        "groove_angle_deg",
        NumberField(
            label=_("Groove angle in degrees"), required=False, least=0, most=90
        ),
    )
    yield (
        "undercut_angle_deg",
        NumberField(
            label=_("Undercut angle in degrees"), required=False, least=0, most=120
        ),
    )
    yield (
        "surface",
        forms.ChoiceField(
            label=_("What the ropes run on"), choices=choices.SurfaceKind.choices
        ),
    )
    for name, label in (
        ("groove_pitch_mm", _("From groove to groove")),
        ("bottom_clearance_new_mm", _("Clearance under a new rope, as cut")),
        ("minimum_pitch_diameter_mm", _("Least pitch diameter by the maker")),
        ("minimum_rim_mm", _("Least metal under a groove by the maker")),
    ):
        yield name, QuantityField(quantity="length", label=label, required=False)
    yield (
        "datum_mark",
        forms.CharField(
            label=_("How mark A and groove 1 are told"), max_length=200, required=False
        ),
    )


def _of_cut(*, is_new: bool) -> Iterator[tuple[str, forms.Field]]:
    hardened = (
        _("Depth of a hardened layer (0 for none)")
        if is_new
        else _("Hardened layer left (0 for none)")
    )
    for name, label in (
        ("pitch_diameter_mm", _("Pitch diameter as cut")),
        ("seat_radius_mm", _("Seat radius as cut")),
        ("hardened_depth_mm", hardened),
    ):
        needed = is_new and name == "pitch_diameter_mm"
        yield name, QuantityField(quantity="length", label=label, required=needed)


def _of_ropes(*, is_needed: bool) -> Iterator[tuple[str, forms.Field]]:
    yield (
        "nominal_diameter_mm",
        QuantityField(
            quantity="length",
            label=_("Nominal diameter of the new ropes"),
            required=is_needed,
            help_text=""
            if is_needed
            else _("Left empty where the old ropes were laid again."),
        ),
    )
    yield (
        ROPES,
        NumberField(label=_("Number of ropes"), whole=True, least=1, most=20),
    )
    yield (
        "layout",
        forms.ChoiceField(
            label=_("Which grooves the ropes run in"),
            choices=[("", _("as the ropes before them")), *laying.LAYOUTS],
            required=False,
            help_text=_("Two each in double wrap only, the first next to the car."),
        ),
    )
    yield (
        "certificate",
        forms.CharField(
            label=_("Certificate of the ropes"), required=False, max_length=100
        ),
    )


def as_before(before: page.Page, reported: str) -> Said:
    """Return what the fields show before anybody types.

    Of a new rim nothing is shown: a value of the old one would be taken for its own.
    """
    found: Said = {
        GROOVES: len(before.grooves) or None,
        ROPES: len(before.ropes) or None,
    }
    if before.rope_set is not None:
        found["nominal_diameter_mm"] = before.rope_set.nominal_diameter_mm
    if before.geometry is not None and reported not in NEW_RIMS:
        found["seat_radius_mm"] = before.geometry.seat_radius_mm
    return found


def told(before: page.Page, reported: str, said: Said) -> dict[str, Any]:
    """Return the parts of the report. Raises Refused where the old ones are missing."""
    takes = TAKES[WorkKind(reported)]
    found: dict[str, Any] = {}
    if "rope_set" in (*takes.needs, *takes.may):
        found["rope_set"] = _rope_set(before, said)
    if reported in NEW_RIMS:
        found["geometry"] = {name: _given(said, name) for name in _OF_NEW_CUT}
        found["sheave"] = {
            name: said[name] for name in _OF_SHEAVE if said.get(name) not in (None, "")
        }
        found["grooves"] = tuple(
            {"number": number} for number in range(1, said[GROOVES] + 1)
        )
    elif "geometry" in takes.needs:
        found["geometry"] = _cut_again(before, said)
    return found


def _given(said: Said, name: str) -> Any:
    """Return a value, or what the column holds where it is not known."""
    value = said.get(name)
    field = SheaveGeometry._meta.get_field(name)
    is_text = isinstance(field, models.CharField)
    return value if value is not None or not is_text else ""


def _rope_set(before: page.Page, said: Said) -> Said | None:
    """Return the new set: of the kind that hung there, unless a certificate differs."""
    old = before.rope_set
    if said.get("nominal_diameter_mm") is None:
        return None
    if old is None:
        raise Refused(
            gettext("No ropes are registered here. Register the ropes first.")
        )
    return {
        **{name: getattr(old, name) for name in _SAME_ROPES},
        "nominal_diameter_mm": said["nominal_diameter_mm"],
        "certificate": said.get("certificate", ""),
        "ropes": [
            {"number": number, "grooves": list(grooves)}
            for number, grooves in laid(before, said).items()
        ],
    }


def laid(before: page.Page, said: Said) -> dict[int, tuple[int, ...]]:
    """Return the grooves of each rope that hangs now.

    As many ropes as before run as they did, unless another way is said. Raises Refused
    where another number of ropes has two grooves each, and nobody says which.
    """
    old = {
        rope.number: tuple(
            seat.groove.number
            for seat in sorted(rope.seats.all(), key=lambda each: each.pass_number)
        )
        for rope in sorted(before.ropes, key=lambda each: each.number)
    }
    count, layout = said.get(ROPES) or len(old), said.get("layout") or ""
    if count == len(old) and not layout:
        return old
    if not layout and any(len(grooves) > 1 for grooves in old.values()):
        raise Refused(
            gettext("Say which grooves so many ropes run in."), field="layout"
        )
    return {n: laying.seats(n, count, layout) for n in range(1, count + 1)}


def _cut_again(before: page.Page, said: Said) -> Said:
    """Return the grooves as cut: the form as before, and what was measured anew."""
    old = before.geometry
    if old is None:
        raise Refused(
            gettext("No grooves are registered here. Register the grooves first.")
        )
    names = (
        field.name
        for field in SheaveGeometry._meta.concrete_fields
        if field.name not in _NOT_COPIED
    )
    same = {name: getattr(old, name) for name in names}
    # What the cut took away is measured, or not known; it is never what it was.
    measured = ("pitch_diameter_mm", "seat_radius_mm", "hardened_depth_mm")
    gone = {"bottom_clearance_new_mm": None, "hardness_hb": None}
    return same | gone | {name: said.get(name) for name in measured}
