"""A sheave once it is cut: how deep, how wide it is then, and what its grooves keep."""

from dataclasses import dataclass

from inspections.engineering.cut import geometry
from inspections.engineering.cut.given import (
    GrooveAfterCut,
    Hardened,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.rim import RimMetal
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

_COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedSheave:
    """A sheave with all its grooves cut to one depth.

    Parameters
    ----------
    worst : the deepest seat, which the cut goes below
    clean_up_mm : c below it [mm]
    depth_mm : of the cut, from the seats as last turned [mm]
    pitch_diameter_mm : D after it [mm]
    diameter_ratio : D/d with the ropes to be fitted [-]
    speed_ratio : D over the D as new, as the car's speed changes [-]
    hardened : what is left of a hardened layer
    grooves : the metal that each groove keeps

    Raises nothing; turn makes it.

    Source: geometry.

    >>> TurnedSheave(worst=SeatAt(groove=1, depth_mm=0.4), clean_up_mm=1.6,
    ...     depth_mm=2.0, pitch_diameter_mm=504.0, diameter_ratio=42.0,
    ...     speed_ratio=0.992, hardened=Hardened.NOT_HARDENED, grooves=()).depth_mm
    2.0
    """

    worst: SeatAt
    clean_up_mm: float
    depth_mm: float
    pitch_diameter_mm: float
    diameter_ratio: float
    speed_ratio: float
    hardened: Hardened
    grooves: tuple[GrooveAfterCut, ...]


def turn(
    *,
    sheave: SheaveToCut,
    seats: tuple[SeatAt, ...],
    rim: RimMetal,
    clean_up_mm: float,
    rope_diameter_mm: float,
) -> TurnedSheave:
    """Return a sheave with all grooves cut to the deepest seat plus clean-up.

    Parameters
    ----------
    sheave : form, pitch diameters as new and as last turned [mm], hardened depth [mm]
    seats : depth of the seat in each groove, at one or more angles [mm]
    rim : metal under each groove
    clean_up_mm : c, clean-up below the deepest seat [mm], >= 0
    rope_diameter_mm : d, nominal diameter of the ropes to be fitted [mm], > 0

    Raises OutsideValidity for no seats, a negative clean-up, a rope diameter that is
    not positive, or a cut deeper than the sheave.

    Source: geometry, D' = D - 2·(s_max + c).

    >>> from inspections.engineering.cut import KnownForm
    >>> bare = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(),
    ...                 cautions=())
    >>> turn(sheave=SheaveToCut(form=KnownForm.V, pitch_diameter_new_mm=520.0,
    ...          pitch_diameter_turned_mm=520.0, hardened_depth_mm=0.0),
    ...     seats=(SeatAt(groove=1, depth_mm=1.4),), rim=bare, clean_up_mm=1.6,
    ...     rope_diameter_mm=13.0).pitch_diameter_mm
    514.0
    """
    require_not_negative(clean_up_mm=clean_up_mm)
    require_positive(rope_diameter_mm=rope_diameter_mm)
    if not seats:
        raise OutsideValidity(
            name="number of seats", value=0, rule=because(Code.RULE_OR_MORE, least=1)
        )
    worst = geometry.deepest(seats=seats)
    depth_mm = max(worst.depth_mm, 0.0) + clean_up_mm
    diameter_mm = sheave.pitch_diameter_turned_mm - 2.0 * depth_mm
    require_positive(pitch_diameter_mm=diameter_mm)
    return TurnedSheave(
        worst=worst,
        clean_up_mm=clean_up_mm,
        depth_mm=depth_mm,
        pitch_diameter_mm=diameter_mm,
        diameter_ratio=diameter_mm / rope_diameter_mm,
        speed_ratio=diameter_mm / sheave.pitch_diameter_new_mm,
        hardened=_hardened(sheave, depth_mm=depth_mm + _COVERAGE * worst.sd_mm),
        grooves=geometry.after_cut(
            form=sheave.form, seats=seats, rim=rim, clean_up_mm=clean_up_mm
        ),
    )


def _hardened(sheave: SheaveToCut, *, depth_mm: float) -> Hardened:
    if sheave.hardened_depth_mm == 0.0:
        return Hardened.NOT_HARDENED
    if sheave.rehardened_after:
        return Hardened.RENEWED
    if sheave.hardened_depth_mm is None:
        return Hardened.NOT_KNOWN
    remains = sheave.hardened_depth_mm > depth_mm
    return Hardened.REMAINS if remains else Hardened.GONE
