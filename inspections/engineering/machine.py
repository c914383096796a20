"""The masses and the run of the ropes of one machine, as the register has them."""

from dataclasses import dataclass
from math import inf

from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.engineering.wrap import WrapAngles
from inspections.reasons import Code, because
from inspections.records import made_by_slots

GRAVITY_M_S2 = 9.81


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Suspension:
    """What hangs on a drive sheave, and how.

    Parameters
    ----------
    car_mass_kg : P, empty car with its pulleys [kg], > 0
    rated_load_kg : Q [kg], > 0
    balance_ratio : q, part of the rated load the counterweight balances [-],
        from 0 to 1; None where counterweight_mass_kg is given
    counterweight_mass_kg : M_cw with its pulleys [kg], > 0; None where
        balance_ratio is given; exactly one of the two
    roping : i_r, 1 for 1:1 and 2 for 2:1
    travel_m : H, from lowest to highest landing [m], > 0
    rated_speed_m_s : v of the car [m/s], > 0
    rope_count : n, ropes side by side [-], >= 1
    rope_diameter_mm : d, nominal [mm], > 0
    rope_mass_kg_per_m : of one rope [kg/m], > 0
    compensation_kg_per_m : all compensation that hangs under the car [kg/m],
        >= 0; 0 is none
    travelling_cable_kg_per_m : all travelling cables [kg/m], >= 0; hung from
        half height
    tension_device_kg : mass of the compensation's tension device [kg], >= 0
    sheave_diameter_mm : D, pitch diameter of the drive sheave [mm], > 0
    wrap : passes of the rope over the drive sheave
    drive_stalls : True where the drive itself stalls, or an electric safety
        device stops it, with car or counterweight landed

    Raises OutsideValidity outside these ranges.

    Source: symbols of EN 81-50:2014 5.11; rotating masses of pulleys and guide
    friction are left out (friction left out is on the safe side).

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> EXAMPLE_MACHINE.balancing_mass_kg
    1650.0
    """

    car_mass_kg: float
    rated_load_kg: float
    balance_ratio: float | None
    counterweight_mass_kg: float | None
    roping: int
    travel_m: float
    rated_speed_m_s: float
    rope_count: int
    rope_diameter_mm: float
    rope_mass_kg_per_m: float
    compensation_kg_per_m: float
    travelling_cable_kg_per_m: float
    tension_device_kg: float
    sheave_diameter_mm: float
    wrap: WrapAngles
    drive_stalls: bool

    def __post_init__(self) -> None:
        if not self._is_in_range():
            self._check()

    def _is_in_range(self) -> bool:
        """Tell at one look what is the rule: nothing is outside its range."""
        weighed_kg, balance = self.counterweight_mass_kg, self.balance_ratio
        return (
            0.0 < self.car_mass_kg < inf
            and 0.0 < self.rated_load_kg < inf
            and 0.0 < self.travel_m < inf
            and 0.0 < self.rated_speed_m_s < inf
            and 0.0 < self.rope_count < inf
            and 0.0 < self.rope_diameter_mm < inf
            and 0.0 < self.rope_mass_kg_per_m < inf
            and 0.0 < self.sheave_diameter_mm < inf
            and 0.0 <= self.compensation_kg_per_m < inf
            and 0.0 <= self.travelling_cable_kg_per_m < inf
            and 0.0 <= self.tension_device_kg < inf
            and self.roping in (1, 2)
            and (
                weighed_kg is not None and 0.0 < weighed_kg < inf
                if balance is None
                else weighed_kg is None and 0.0 <= balance <= 1.0
            )
        )

    def _check(self) -> None:
        """Raise OutsideValidity for the first item outside its range."""
        require_positive(
            car_mass_kg=self.car_mass_kg,
            rated_load_kg=self.rated_load_kg,
            travel_m=self.travel_m,
            rated_speed_m_s=self.rated_speed_m_s,
            rope_count=self.rope_count,
            rope_diameter_mm=self.rope_diameter_mm,
            rope_mass_kg_per_m=self.rope_mass_kg_per_m,
            sheave_diameter_mm=self.sheave_diameter_mm,
        )
        require_not_negative(
            compensation_kg_per_m=self.compensation_kg_per_m,
            travelling_cable_kg_per_m=self.travelling_cable_kg_per_m,
            tension_device_kg=self.tension_device_kg,
        )
        if self.roping not in (1, 2):
            raise OutsideValidity(
                name="roping", value=self.roping, rule=because(Code.RULE_ONE_OR_TWO)
            )
        self._check_counterweight()

    def _check_counterweight(self) -> None:
        if self.balance_ratio is not None and self.counterweight_mass_kg is None:
            require_within(low=0.0, high=1.0, balance_ratio=self.balance_ratio)
        elif self.counterweight_mass_kg is not None and self.balance_ratio is None:
            require_positive(counterweight_mass_kg=self.counterweight_mass_kg)
        else:
            raise OutsideValidity(
                name="balance_ratio",
                value=float("nan"),
                rule=because(Code.RULE_MASS_GIVEN),
            )

    @property
    def balancing_mass_kg(self) -> float:
        """Mass of the counterweight, weighed or from the balance [kg]."""
        if self.counterweight_mass_kg is not None:
            return self.counterweight_mass_kg
        return self.car_mass_kg + (self.balance_ratio or 0.0) * self.rated_load_kg

    @property
    def rope_speed_m_s(self) -> float:
        """Speed of the rope at the sheave at rated car speed [m/s]."""
        return self.roping * self.rated_speed_m_s

    @property
    def ropes_kg_per_m(self) -> float:
        """Mass of the whole rope set [kg/m]."""
        return self.rope_count * self.rope_mass_kg_per_m

    @property
    def rope_travel_m(self) -> float:
        """Length of rope that runs over the sheave in one trip [m]."""
        return self.roping * self.travel_m
