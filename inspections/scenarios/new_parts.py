"""New ropes and grooves as they would be on the day; nothing of them is stored."""

from copy import copy
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext_noop

from fleet.models import (
    Groove,
    Machine,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
)
from inspections.engineering.groove import BY_CODE
from inspections.inputs import Snapshot
from inspections.scenarios.changes import Changes
from inspections.scenarios.items import ITEMS, Part
from inspections.scenarios.machine_rows import SUPPOSED_ID, passes_of
from inspections.scenarios.problems import NotKnownEnough, NotTried

# What a certificate says of ropes of another size or make.
_OF_CERTIFICATE = ("breaking_force_kn", "mass_kg_m", "metallic_area_mm2")
_OF_MAKE = (*_OF_CERTIFICATE, "lay_length_mm", "modulus_mpa", "certificate")
# Of a seat as it is, whatever its form.
_ALWAYS = {"form", "groove_angle_deg", "hardened_depth_mm"}
_NOT_COLUMNS = {"cut_depth_mm"}
_ITEM_OF = {
    each.field: each.name for each in ITEMS.values() if each.part is Part.GROOVES
}
_RIM = (
    "minimum_rim_mm",
    "minimum_pitch_diameter_mm",
    "land_diameter_mm",
    "rim_width_mm",
    "web_axial_mm",
    "web_thickness_mm",
    "draft_deg",
    "draft_high_deg",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Sheave, grooves and ropes, and which rope runs where."""

    sheave: Sheave
    geometry: SheaveGeometry
    grooves: tuple[Groove, ...]
    rope_set: RopeSet
    ropes: tuple[Rope, ...]
    seats: tuple[RopeInGroove, ...]


def new_geometry(
    snapshot: Snapshot, changes: Changes, *, diameter_mm: float | None, on: date
) -> SheaveGeometry:
    """Return the grooves as they would be cut. Raises NotTried, NotKnownEnough."""
    old = snapshot.geometry
    if old is None:
        raise NotKnownEnough(
            gettext_noop("the register has no grooves of this machine")
        )
    asked = {
        name: value
        for name, value in changes.of(Part.GROOVES).items()
        if name not in _NOT_COLUMNS
    }
    form = str(asked.get("form", old.form))
    shape = BY_CODE.get(form)
    own = _ALWAYS | {
        name for column in (shape.columns if shape else ()) for name in column.columns
    }
    for name in asked:
        if name not in own:
            raise NotTried(
                gettext_noop("%(item)s is no measure of the form %(form)s"),
                item=_ITEM_OF[name],
                form=form,
            )
    made = copy(old)
    made.pk, made.valid_from = SUPPOSED_ID, on
    made.pitch_diameter_mm = diameter_mm
    made.hardened_depth_mm = _layer_left_mm(old, form=form, diameter_mm=diameter_mm)
    # A tool turns as it is set: what was measured in the old grooves is over.
    made.sources = {k: v for k, v in old.sources.items() if k not in asked}
    made.uncertainties = {k: v for k, v in old.uncertainties.items() if k not in asked}
    if form != old.form:
        _clear(made, own)
    _one_bottom(made, asked)
    for name, value in asked.items():
        setattr(made, name, value)
    return made


def _layer_left_mm(
    old: SheaveGeometry, *, form: str, diameter_mm: float | None
) -> float | None:
    """Return the hardened layer that a cut leaves; another form goes through it."""
    layer_mm, before_mm = old.hardened_depth_mm, old.pitch_diameter_mm
    if layer_mm is None:
        return None
    if form != old.form or before_mm is None or diameter_mm is None:
        return 0.0
    # A sheave that is new is hardened where that is asked for.
    taken_mm = (before_mm - diameter_mm) / 2.0
    return float(max(layer_mm - taken_mm, 0.0)) if taken_mm > 0.0 else 0.0


def _clear(made: SheaveGeometry, own: set[str]) -> None:
    """Take away what is no measure of another form, and its angle."""
    every = {n for s in BY_CODE.values() for c in s.columns for n in c.columns}
    for name in (every - own) | {"groove_angle_deg"}:
        setattr(made, name, None)


def _one_bottom(made: SheaveGeometry, asked: dict[str, Any]) -> None:
    """A V has a flat or a slot, not both."""
    if "flat_bottom_width_mm" in asked:
        made.slot_width_mm = made.slot_depth_mm = None
    if "slot_width_mm" in asked:
        made.flat_bottom_width_mm = None


def new_sheave(snapshot: Snapshot, *, diameter_mm: float, on: date) -> Sheave:
    """Return a new sheave of a diameter. Raises NotKnownEnough."""
    if snapshot.sheave is None:
        raise NotKnownEnough(
            gettext_noop("the register has no drive sheave of this machine")
        )
    made = copy(snapshot.sheave)
    made.pk, made.fitted_on = SUPPOSED_ID, on
    made.pitch_diameter_new_mm = diameter_mm
    for name in _RIM:
        setattr(made, name, None)
    return made


def new_rope_set(
    snapshot: Snapshot,
    changes: Changes,
    *,
    machine: Machine,
    sheave: Sheave,
    on: date,
) -> RopeSet:
    """Return a new set of ropes, as the old one where nothing else is asked for.

    Raises NotKnownEnough.
    """
    old = snapshot.rope_set
    if old is None:
        raise NotKnownEnough(
            gettext_noop("the register has no rope set of this machine")
        )
    made = copy(old)
    made.pk, made.fitted_on, made.retired_on = SUPPOSED_ID, on, None
    made.machine, made.sheave = machine, sheave
    asked = changes.of(Part.ROPES)
    if asked.keys() - {"ropes_count"}:
        for name in _OF_MAKE:
            setattr(made, name, "" if name == "certificate" else None)
        made.modulus_mpa = old.modulus_mpa if "core" not in asked else None
    for name, value in asked.items():
        setattr(made, name, value)
    return made


def fitted(
    snapshot: Snapshot,
    *,
    machine: Machine,
    sheave: Sheave,
    geometry: SheaveGeometry,
    rope_set: RopeSet,
    cut: bool,
    on: date,
) -> Parts:
    """Return new ropes laid into the grooves, and the old ones as taken off.

    Raises NotTried where more grooves are needed than there are and none are cut.
    """
    passes = passes_of(machine)
    needed = rope_set.ropes_count * passes
    grooves = _grooves(snapshot, sheave, needed, cut=cut)
    ropes = tuple(
        Rope(pk=SUPPOSED_ID - number, rope_set=rope_set, number=number)
        for number in range(1, rope_set.ropes_count + 1)
    )
    laid = tuple(
        RopeInGroove(
            pk=SUPPOSED_ID - index,
            rope=ropes[index // passes],
            groove=grooves[index],
            pass_number=index % passes + 1,
        )
        for index in range(needed)
    )
    return Parts(
        sheave=sheave,
        geometry=geometry,
        grooves=grooves,
        rope_set=rope_set,
        ropes=ropes,
        seats=(*_taken_off(snapshot, on), *laid),
    )


def _grooves(
    snapshot: Snapshot, sheave: Sheave, needed: int, *, cut: bool
) -> tuple[Groove, ...]:
    known = snapshot.grooves
    if needed > len(known) and not cut:
        raise NotTried(
            gettext_noop(
                "%(needed)s grooves are needed and the sheave has %(have)s: another "
                "sheave is needed, give its %(item)s"
            ),
            needed=needed,
            have=len(known),
            item="sheave_diameter_mm",
        )
    more = (
        Groove(pk=SUPPOSED_ID - number, sheave=sheave, number=number)
        for number in range(len(known) + 1, needed + 1)
    )
    return (*known, *more)


def _taken_off(snapshot: Snapshot, on: date) -> tuple[RopeInGroove, ...]:
    """Return the old ropes in their grooves, retired on the day."""
    old = snapshot.rope_set
    if old is None:
        return snapshot.seats
    retired = copy(old)
    retired.retired_on = on
    found = []
    for seat in snapshot.seats:
        if seat.rope.rope_set_id == old.pk:
            rope, laid = copy(seat.rope), copy(seat)
            rope.rope_set, laid.rope = retired, rope
            found.append(laid)
        else:
            found.append(seat)
    return tuple(found)
