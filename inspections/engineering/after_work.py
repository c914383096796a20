"""How far car and counterweight hang elsewhere after a cut or a shortening."""

from math import pi

from inspections.engineering.validity import (
    require_not_negative,
    require_positive,
    require_within,
)


def rope_to_spare_mm(*, radius_less_mm: float, wrap_rad: float) -> float:
    """Return by how much a rope's run is shorter around a smaller sheave.

    Parameters
    ----------
    radius_less_mm : by how much the radius is smaller, negative where larger [mm]
    wrap_rad : α over all passes [rad], > 0

    Raises OutsideValidity for a wrap that is not positive.

    Source: geometry. A rope laid tight around a circle gets longer by α for each unit
    of radius, whatever its straight parts, to the first order; a cut is small.

    >>> rope_to_spare_mm(radius_less_mm=4.0, wrap_rad=2.88)
    11.52
    """
    require_positive(wrap_rad=wrap_rad)
    return radius_less_mm * wrap_rad


def counterweight_lower_mm(
    *, spare_mm: float, shortened_mm: float, roping: int
) -> float:
    """Return how much lower the counterweight hangs with the car at its landing.

    Parameters
    ----------
    spare_mm : rope that a smaller sheave leaves [mm]
    shortened_mm : taken off each rope at its hitch [mm], >= 0
    roping : i_r [-], >= 1

    Lower is less run-by of the counterweight, and as much more clearance above the car
    when the counterweight stands on its buffer; negative is the other way.

    Raises OutsideValidity outside these ranges.

    Source: geometry; the ropes are as long as before, and no longer under load.

    >>> counterweight_lower_mm(spare_mm=11.5, shortened_mm=100.0, roping=1)
    -88.5
    """
    require_not_negative(shortened_mm=shortened_mm)
    require_positive(roping=roping)
    return (spare_mm - shortened_mm) / roping


def travel_per_turn_mm(*, sheave_diameter_mm: float, roping: int) -> float:
    """Return how far the car moves in a turn of the sheave.

    Parameters
    ----------
    sheave_diameter_mm : D [mm], > 0
    roping : i_r [-], >= 1

    An encoder on the motor or the sheave counts turns: its ratio to the car is this
    one. Creep is not in it.

    Raises OutsideValidity outside these ranges.

    Source: geometry, π·D/i_r.

    >>> travel_per_turn_mm(sheave_diameter_mm=600.0, roping=2)
    942.4778
    """
    require_positive(sheave_diameter_mm=sheave_diameter_mm, roping=roping)
    return pi * sheave_diameter_mm / roping


def usual_rope_length_m(
    *,
    travel_m: float,
    roping: int,
    sheave_diameter_mm: float,
    wrap_rad: float,
    ends_m: float,
) -> float:
    """Return the length of one rope from hitch to hitch, worked out.

    Parameters
    ----------
    travel_m : H [m], > 0
    roping : i_r [-], >= 1
    sheave_diameter_mm : D [mm], > 0
    wrap_rad : α over all passes [rad], > 0
    ends_m : what is besides, headroom, pits, frames and terminations [m], 0 to 60

    With the car at the bottom i_r falls as long as the travel hang on its side; where
    it rises, as much comes down on the other.

    Raises OutsideValidity outside these ranges.

    Source: geometry, i_r·(H + ends) + α·D/2.

    >>> usual_rope_length_m(travel_m=30.0, roping=1, sheave_diameter_mm=600.0,
    ...     wrap_rad=2.88, ends_m=6.0)
    36.864
    """
    require_positive(
        travel_m=travel_m,
        roping=roping,
        sheave_diameter_mm=sheave_diameter_mm,
        wrap_rad=wrap_rad,
    )
    require_within(low=0.0, high=60.0, ends_m=ends_m)
    around_m = wrap_rad * sheave_diameter_mm / 2000.0
    return roping * (travel_m + ends_m) + around_m
