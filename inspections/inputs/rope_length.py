"""How long one rope is: measured, or worked out from travel, roping and wrap."""

from dataclasses import dataclass

from inspections.engineering import after_work
from inspections.engineering.validity import OutsideValidity
from inspections.inputs.register import wrap_of
from inspections.inputs.snapshot import Missing, Snapshot

# Headroom, pit, frames and terminations beside the travel; a rule of this program.
ENDS_M = 6.0
# What a length worked out may be off by, either way; a rule of this program.
SPREAD = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeLength:
    """The length of one rope [m], and the share that it may be off by."""

    metres: float
    spread: float

    @property
    def is_measured(self) -> bool:
        """Whether the register has it."""
        return self.spread == 0.0


def rope_length_of(snapshot: Snapshot) -> RopeLength | None:
    """Return the length of one rope, None where travel or wrap is not known."""
    rope_set, travel_m = snapshot.rope_set, snapshot.machine.travel_m
    geometry = snapshot.geometry
    if rope_set is not None and rope_set.length_m:
        return RopeLength(metres=rope_set.length_m, spread=0.0)
    diameter_mm = geometry.pitch_diameter_mm if geometry else None
    if travel_m is None or diameter_mm is None:
        return None
    try:
        metres = after_work.usual_rope_length_m(
            travel_m=travel_m,
            roping=snapshot.machine.roping_ratio,
            sheave_diameter_mm=diameter_mm,
            wrap_rad=wrap_of(snapshot).total_rad,
            ends_m=ENDS_M,
        )
    except (Missing, OutsideValidity):
        return None
    return RopeLength(metres=metres, spread=SPREAD)
