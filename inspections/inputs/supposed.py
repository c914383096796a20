"""Masses and wrap that the register does not have, each within its plausible range."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import radians

from fleet.register.choices import StalledDrive, Wrap
from fleet.register.choices import SuspensionKind as Kind
from inspections.engineering import unknowns
from inspections.engineering import wrap as wraps
from inspections.engineering.answer import Axis
from inspections.engineering.answer.axis import from_spread
from inspections.engineering.suspension import Suspension
from inspections.inputs import register
from inspections.inputs.as_read import ReadValue, read_value
from inspections.inputs.snapshot import Item, Missing, Snapshot
from inspections.reasons import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedSuspension:
    """What hangs on a sheave, what is not registered at its usual value.

    `axes` are the ranges by the name of the field, `missing` what the register does
    not have, `read` what was weighed in its place.
    """

    suspension: Suspension
    read: tuple[ReadValue, ...] = ()
    axes: Mapping[str, Axis] = field(default_factory=dict)
    missing: tuple[Item, ...] = ()


def supposed_suspension(snapshot: Snapshot) -> SupposedSuspension:
    """Return masses and run of the ropes with what is not registered supposed.

    A mass that was weighed on site stands for one that is not registered. Raises
    Missing for what has no plausible range, OutsideValidity. Where the register once
    said something else than was weighed, the mass reaches to that.
    """
    machine = snapshot.machine
    lacking: list[Item] = []
    if machine.roping_ratio > register.HIGHEST_ROPING:
        lacking.append(Term.METHOD_ABOVE_2_TO_1)
    rope_set = snapshot.need_rope_set()
    snapshot.need_geometry()
    if rope_set.suspension != Kind.STEEL_ROPE:
        lacking.append(Term.METHOD_FOR_COATED)
    if lacking:
        raise Missing(*lacking)
    made = _Making(snapshot)
    rope_kg_per_m = made.rope_mass()
    load_kg = made.rated_load()
    car_kg = made.car_mass(load_kg)
    weighed_kg = machine.counterweight_mass_kg
    hung = Suspension(
        car_mass_kg=car_kg,
        rated_load_kg=load_kg,
        balance_ratio=made.balance(car_kg, load_kg) if weighed_kg is None else None,
        counterweight_mass_kg=weighed_kg,
        roping=machine.roping_ratio,
        travel_m=made.of_machine("travel_m", Term.TRAVEL),
        rated_speed_m_s=made.of_machine("rated_speed_m_s", Term.RATED_SPEED),
        rope_count=rope_set.ropes_count,
        rope_diameter_mm=rope_set.nominal_diameter_mm,
        rope_mass_kg_per_m=rope_kg_per_m,
        compensation_kg_per_m=made.compensation(rope_kg_per_m * rope_set.ropes_count),
        travelling_cable_kg_per_m=made.travelling_cable(),
        tension_device_kg=machine.tension_device_mass_kg or 0.0,
        sheave_diameter_mm=_pitch_diameter_mm(snapshot),
        wrap=made.wrap(),
        drive_stalls=machine.stalled_drive
        in (StalledDrive.DRIVE_STALLS, StalledDrive.SAFETY_DEVICE),
    )
    return SupposedSuspension(
        suspension=hung,
        read=tuple(made.read.values()),
        axes=made.axes,
        missing=tuple(made.missing),
    )


def taken_away(snapshot: Snapshot, hung: Suspension) -> dict[str, Axis]:
    """Return ranges for what is known another way since the register says it no more.

    A counterweight that was weighed and is worked out by the balance now, a wrap that
    comes from the pulleys, a rope's mass from its construction: each reaches to what
    was said before.
    """
    said = snapshot.once_said
    if not said:
        return {}
    spread = register.spread_of(snapshot, hung)
    found = {}
    balance, load_kg = hung.balance_ratio, hung.rated_load_kg
    if balance is not None and "counterweight_mass_kg" in said:
        other = _balance_of(said["counterweight_mass_kg"], hung.car_mass_kg, load_kg)
        found["balance_ratio"] = _reaching("balance_ratio", balance, other)
    weighed_kg = hung.counterweight_mass_kg
    if weighed_kg is not None and "balance_ratio" in said:
        other = hung.car_mass_kg + said["balance_ratio"] * load_kg
        name = "counterweight_mass_kg"
        found[name] = _reaching(name, weighed_kg, other)
    if "wrap_angle_deg" in said:
        total_rad = hung.wrap.total_rad
        other = radians(said["wrap_angle_deg"])
        found["wrap_angle_rad"] = _reaching("wrap_angle_rad", total_rad, other)
    if "mass_kg_m" in said:
        name = "rope_mass_kg_per_m"
        found[name] = _reaching(name, hung.rope_mass_kg_per_m, said["mass_kg_m"])
    return {
        name: _as_wide_as(axis, float(getattr(spread, name, 0.0)))
        for name, axis in found.items()
    }


class _Making:
    """Values as registered, else as weighed, else supposed and noted as such."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot
        self._machine = snapshot.machine
        self._said = snapshot.once_said
        self.axes: dict[str, Axis] = {}
        self.read: dict[str, ReadValue] = {}
        self.missing: list[Item] = []

    def of_machine(self, name: str, term: Term) -> float:
        """Return a value of the machine that stands by itself."""
        known: float | None = getattr(self._machine, name)
        return known or self._supposed(name, term, said=self._said.get(name))

    def rated_load(self) -> float:
        name, known = "rated_load_kg", self._machine.rated_load_kg
        if known:
            return known
        car_kg = self._machine.car_mass_kg or self._read("car_mass_kg", "car_mass")
        row = name if car_kg else "rated_load_alone_kg"
        axis = unknowns.axis_of(
            unknown=unknowns.find(name=row),
            of_value=car_kg,
            once_said=self._said.get(name),
        )
        self.axes[name] = replace(axis, name=name)
        self.missing.append(Term.RATED_LOAD)
        return axis.typical

    def car_mass(self, load_kg: float) -> float:
        name = "car_mass_kg"
        return (
            self._machine.car_mass_kg
            or self._read("car_mass_kg", "car_mass")
            or self._supposed(
                name,
                Term.CAR_MASS,
                of_value=load_kg,
                said=self._said.get(name),
            )
        )

    def balance(self, car_kg: float, load_kg: float) -> float:
        machine = self._machine
        if machine.balance_ratio is not None:
            return machine.balance_ratio
        name = "balance_ratio"
        typical = self._read(name, "balance_load")
        if typical is None:
            typical = self._supposed(name, Term.BALANCE, said=self._said.get(name))
        weighed = self._said.get("counterweight_mass_kg")
        if weighed is not None:
            other = _balance_of(weighed, car_kg, load_kg)
            axis = self.axes.get(name) or _reaching(name, typical, typical)
            self.axes[name] = _reaching_of(axis, other)
        return typical

    def compensation(self, ropes_kg_per_m: float) -> float:
        known = self._machine.compensation_mass_kg_m
        if known is not None:
            return known
        return self._supposed(
            "compensation_kg_per_m",
            Term.COMPENSATION,
            of_value=ropes_kg_per_m,
            said=self._said.get("compensation_mass_kg_m"),
        )

    def travelling_cable(self) -> float:
        known = self._machine.travelling_cable_mass_kg_m
        if known is not None:
            return known
        return self._supposed(
            "travelling_cable_kg_per_m",
            Term.TRAVELLING_CABLE,
            said=self._said.get("travelling_cable_mass_kg_m"),
        )

    def rope_mass(self) -> float:
        rope_set = self._snapshot.need_rope_set()
        try:
            return register.rope_of(self._snapshot).mass_kg_per_m
        except Missing as error:
            if rope_set.mass_kg_m is not None:
                return rope_set.mass_kg_m
            self.missing += error.items
        return self._supposed(
            "rope_mass_kg_per_m",
            None,
            of_value=(rope_set.nominal_diameter_mm / 10.0) ** 2,
            said=self._said.get("mass_kg_m"),
        )

    def wrap(self) -> wraps.WrapAngles:
        try:
            return register.wrap_of(self._snapshot)
        except Missing as error:
            self.missing += error.items
        said = self._said.get("wrap_angle_deg")
        name = "wrap_angle_rad"
        self._supposed(name, None)
        passes = 2 if self._machine.wrap == Wrap.DOUBLE else 1
        one = self.axes[name]
        whole = replace(
            one,
            low=passes * one.low,
            typical=passes * one.typical,
            high=passes * one.high,
        )
        if said is not None:
            whole = _reaching_of(whole, radians(said))
        self.axes[name] = whole
        return wraps.WrapAngles(angles_rad=(one.typical,) * passes)

    def _read(self, name: str, kind: str) -> float | None:
        last = self._snapshot.latest(kind)
        if last is None or last.value is None:
            return None
        self.read[name] = read_value(self._snapshot, name=name, readings=(last,))
        said = self._said.get(name)
        if said is not None:
            self.axes[name] = _reaching(name, last.value, said)
        return last.value

    def _supposed(
        self,
        name: str,
        term: Term | None,
        *,
        of_value: float | None = None,
        said: float | None = None,
    ) -> float:
        axis = unknowns.axis_of(
            unknown=unknowns.find(name=name), of_value=of_value, once_said=said
        )
        self.axes[name] = axis
        if term is not None:
            self.missing.append(term)
        return axis.typical


def _pitch_diameter_mm(snapshot: Snapshot) -> float:
    """Return the sheave's diameter: as cut, else as new, else as is usual.

    No load case depends on it, so that nothing is said to be missing.
    """
    sheave, rope_set = snapshot.sheave, snapshot.need_rope_set()
    usual = unknowns.axis_of(
        unknown=unknowns.find(name="pitch_diameter_mm"),
        of_value=rope_set.nominal_diameter_mm,
    )
    return (
        snapshot.need_geometry().pitch_diameter_mm
        or (sheave.pitch_diameter_new_mm if sheave else None)
        or usual.typical
    )


def _balance_of(counterweight_kg: float, car_kg: float, load_kg: float) -> float:
    return min(max((counterweight_kg - car_kg) / load_kg, 0.0), 1.0)


def _reaching(name: str, value: float, other: float) -> Axis:
    group = unknowns.find(name=name).group
    axis = Axis(name=name, low=value, typical=value, high=value, group=group)
    return _reaching_of(axis, other)


def _as_wide_as(axis: Axis, sd: float) -> Axis:
    """Return a range that is no narrower than one without what was said before."""
    usual = from_spread(name=axis.name, value=axis.typical, sd=sd, least=0.0)
    return replace(axis, low=min(axis.low, usual.low), high=max(axis.high, usual.high))


def _reaching_of(axis: Axis, other: float) -> Axis:
    return replace(axis, low=min(axis.low, other), high=max(axis.high, other))
