"""The register's rows as the kernel's records; what is missing is said."""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import replace
from math import radians

from fleet.models import Machine, Pulley, SheaveGeometry
from fleet.platform.choices import FieldSource
from fleet.register.choices import GrooveForm, StalledDrive, SurfaceKind, Wrap
from fleet.register.choices import SuspensionKind as Kind
from inspections.engineering import rope as ropes
from inspections.engineering import unknowns
from inspections.engineering import wrap as wraps
from inspections.engineering.answer import Axis
from inspections.engineering.groove import BY_CODE, TurnedGroove
from inspections.engineering.suspension import (
    RegisterSpread,
    Suspension,
    usual_spread,
)
from inspections.engineering.tables.ropes import Construction
from inspections.inputs.snapshot import Missing, Snapshot
from inspections.reasons import Code, Term, because

_NEEDED = {
    "car_mass_kg": Term.CAR_MASS,
    "rated_load_kg": Term.RATED_LOAD,
    "rated_speed_m_s": Term.RATED_SPEED,
    "travel_m": Term.TRAVEL,
}

_CONSTRUCTIONS = {
    ("6x19", "FIBRE"): Construction.SIX_FIBRE,
    ("8x19", "FIBRE"): Construction.EIGHT_FIBRE,
    ("6x19", "STEEL"): Construction.SIX_STEEL,
    ("8x19", "STEEL"): Construction.EIGHT_STEEL,
}

# Tensions are worked out for 1:1 and 2:1.
HIGHEST_ROPING = 2

# Half of what is usual where it was measured, twice where it was assumed; our rule.
_SURER = {
    FieldSource.MEASURED: 0.5,
    FieldSource.DRAWING: 1.0,
    FieldSource.PLATE: 1.0,
    FieldSource.ASSUMED: 2.0,
}


def assumed_of(
    geometry: SheaveGeometry,
    *,
    rope_diameter_mm: float | None,
    once_said: Mapping[str, float] | None = None,
) -> dict[str, Axis]:
    """Return what is assumed of a groove where the register does not say it.

    Empty is not known, and never none: a mouth that does not open, a V with a sharp
    bottom. What the register once said stays as one end.
    """
    found, said = {}, once_said or {}
    is_v = geometry.form == GrooveForm.V
    if not is_v and geometry.groove_angle_deg is None:
        mouth = unknowns.find(name="mouth_angle_rad")
        angle_deg = said.get("groove_angle_deg")
        found[mouth.name] = unknowns.axis_of(
            unknown=mouth,
            once_said=None if angle_deg is None else radians(angle_deg),
        )
    if _lacks_a_bottom(geometry) and rope_diameter_mm:
        width = unknowns.find(name="bottom_width_mm")
        found[width.name] = unknowns.axis_of(
            unknown=width,
            of_value=rope_diameter_mm,
            once_said=said.get("flat_bottom_width_mm", said.get("slot_width_mm")),
        )
    return found


def groove_of(
    geometry: SheaveGeometry,
    *,
    rope_diameter_mm: float | None = None,
    supposed: Mapping[str, Axis] | None = None,
) -> TurnedGroove:
    """Return the groove as cut. Raises Missing, OutsideValidity.

    A form that has no record here is missing its method; no other stands in for it.
    What the register does not say of the mouth or of a V's bottom is taken as usual
    for the rope, and so is what is `supposed`.
    """
    shape = BY_CODE.get(geometry.form)
    if shape is None:
        raise Missing(because(Code.METHOD_FOR_FORM, form=geometry.form))
    if geometry.surface != SurfaceKind.BARE:
        raise Missing(Term.METHOD_FOR_LINED)
    fields: dict[str, float | None] = {}
    for column in shape.columns:
        entered = {name: getattr(geometry, name) for name in column.columns}
        fields[column.field] = column.value_of(entered=entered)
        known = fields[column.field] is not None or column.field in (supposed or {})
        if column.needed and not known:
            raise Missing(column.needed)
    assumed = assumed_of(geometry, rope_diameter_mm=rope_diameter_mm)
    usual = {**assumed, **(supposed or {})}
    fields |= {name: axis.typical for name, axis in usual.items()}
    if _lacks_a_bottom(geometry) and "bottom_width_mm" not in assumed:
        raise Missing(Term.ROPE_SET)
    make: Callable[..., TurnedGroove] = shape
    return make(hardened_depth_mm=geometry.hardened_depth_mm or 0.0, **fields)


def groove_cut(snapshot: Snapshot) -> TurnedGroove:
    """Return the groove as cut, for the rope in it. Raises Missing, OutsideValidity."""
    rope_set = snapshot.rope_set
    return groove_of(
        snapshot.need_geometry(),
        rope_diameter_mm=rope_set.nominal_diameter_mm if rope_set else None,
    )


def _lacks_a_bottom(geometry: SheaveGeometry) -> bool:
    """Return whether nobody has said how wide a V is at its bottom."""
    widths = (geometry.flat_bottom_width_mm, geometry.slot_width_mm)
    return geometry.form == GrooveForm.V and widths == (None, None)


def wrap_of(snapshot: Snapshot) -> wraps.WrapAngles:
    """Return the wrap, as registered or from the pulleys. Raises Missing."""
    machine = snapshot.machine
    double = machine.wrap == Wrap.DOUBLE
    if machine.wrap_angle_deg is not None:
        total = radians(machine.wrap_angle_deg)
        return wraps.WrapAngles(
            angles_rad=(total / 2, total / 2) if double else (total,)
        )
    geometry = snapshot.need_geometry()
    deflector = deflector_of(snapshot)
    if deflector is None:
        raise Missing(Term.WRAP)
    if geometry.pitch_diameter_mm is None:
        raise Missing(Term.PITCH_DIAMETER)
    return wraps.wrap_from_geometry(
        sheave_diameter_mm=geometry.pitch_diameter_mm,
        pulley_diameter_mm=deflector.diameter_mm,
        offset_x_mm=deflector.offset_x_mm or 0.0,
        drop_h_mm=deflector.drop_h_mm or 0.0,
        double=double,
    )


def deflector_of(snapshot: Snapshot) -> Pulley | None:
    """Return the pulley that sets the wrap, with its place; None if none has one."""
    for pulley in snapshot.pulleys:
        if pulley.offset_x_mm is not None and pulley.drop_h_mm is not None:
            return pulley
    return None


def rope_of(snapshot: Snapshot) -> ropes.RopeProperties:
    """Return breaking force, mass and area of one rope. Raises Missing."""
    rope_set = snapshot.need_rope_set()
    if rope_set.suspension != Kind.STEEL_ROPE:
        raise Missing(Term.METHOD_FOR_COATED)
    construction = _CONSTRUCTIONS.get((rope_set.strand_class, rope_set.core))
    if construction is None:
        raise Missing(Term.ROPE_CONSTRUCTION)
    if rope_set.outer_grade_mpa is None:
        raise Missing(Term.ROPE_GRADE)
    certificate = ropes.Certificate(
        breaking_force_n=_scaled(rope_set.breaking_force_kn, 1000.0),
        mass_kg_per_m=rope_set.mass_kg_m,
        area_mm2=rope_set.metallic_area_mm2,
    )
    outer = float(rope_set.outer_grade_mpa)
    inner = float(rope_set.inner_grade_mpa or outer)
    return ropes.properties(
        construction=construction,
        rope_diameter_mm=rope_set.nominal_diameter_mm,
        grade_mpa=ropes.grade_mpa(outer_mpa=outer, inner_mpa=inner),
        certificate=certificate,
    )


def suspension_of(snapshot: Snapshot) -> Suspension:
    """Return masses and run of the ropes. Raises Missing, OutsideValidity.

    Masses that hang from the ropes are never taken as nothing because a field is
    empty: compensation and travelling cable must be entered, 0 if there is none.
    """
    machine = snapshot.machine
    _need_masses(machine)
    rope_set, geometry = snapshot.need_rope_set(), snapshot.need_geometry()
    if geometry.pitch_diameter_mm is None:
        raise Missing(Term.PITCH_DIAMETER)
    weighed = machine.counterweight_mass_kg
    return Suspension(
        car_mass_kg=machine.car_mass_kg or 0.0,
        rated_load_kg=machine.rated_load_kg or 0.0,
        balance_ratio=None if weighed is not None else machine.balance_ratio,
        counterweight_mass_kg=weighed,
        roping=machine.roping_ratio,
        travel_m=machine.travel_m or 0.0,
        rated_speed_m_s=machine.rated_speed_m_s or 0.0,
        rope_count=rope_set.ropes_count,
        rope_diameter_mm=rope_set.nominal_diameter_mm,
        rope_mass_kg_per_m=rope_of(snapshot).mass_kg_per_m,
        compensation_kg_per_m=machine.compensation_mass_kg_m or 0.0,
        travelling_cable_kg_per_m=machine.travelling_cable_mass_kg_m or 0.0,
        tension_device_kg=machine.tension_device_mass_kg or 0.0,
        sheave_diameter_mm=geometry.pitch_diameter_mm,
        wrap=wrap_of(snapshot),
        drive_stalls=machine.stalled_drive
        in (StalledDrive.DRIVE_STALLS, StalledDrive.SAFETY_DEVICE),
    )


def _need_masses(machine: Machine) -> None:
    missing = [term for name, term in _NEEDED.items() if not getattr(machine, name)]
    if machine.balance_ratio is None and machine.counterweight_mass_kg is None:
        missing.append(Term.BALANCE)
    if machine.compensation_mass_kg_m is None:
        missing.append(Term.COMPENSATION)
    if machine.travelling_cable_mass_kg_m is None:
        missing.append(Term.TRAVELLING_CABLE)
    if machine.roping_ratio > HIGHEST_ROPING:
        missing.append(Term.METHOD_ABOVE_2_TO_1)
    if missing:
        raise Missing(*missing)


def spread_of(snapshot: Snapshot, suspension: Suspension) -> RegisterSpread:
    """Return how sure the register is of each item: as entered, else as usual.

    What was measured counts as twice as sure as usual, what was assumed as half.
    """
    spread = usual_spread(suspension=suspension)
    rows = (snapshot.machine, snapshot.need_geometry())
    in_register = {
        "car_mass_kg": (0, "car_mass_kg", 1.0),
        "balance_ratio": (0, "balance_ratio", 1.0),
        "counterweight_mass_kg": (0, "counterweight_mass_kg", 1.0),
        "wrap_angle_rad": (0, "wrap_angle_deg", radians(1.0)),
        "groove_angle_rad": (1, "groove_angle_deg", radians(1.0)),
        "undercut_angle_rad": (1, "undercut_angle_deg", radians(1.0)),
        "bottom_clearance_mm": (1, "bottom_clearance_new_mm", 1.0),
    }
    changed: dict[str, float] = {}
    for item in dataclasses.fields(RegisterSpread):
        if item.name not in in_register:
            continue
        index, name, scale = in_register[item.name]
        row = rows[index]
        if name in row.uncertainties:
            changed[item.name] = float(row.uncertainties[name]) * scale
        else:
            source = row.sources.get(name)
            usual = float(getattr(spread, item.name))
            changed[item.name] = usual * _SURER.get(source, 1.0)
    return replace(spread, **changed)


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
