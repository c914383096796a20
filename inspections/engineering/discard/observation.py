"""What was seen and measured on one rope at its worst place."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum

from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because
from inspections.records import made_by_slots


class Window(StrEnum):
    """The length of rope over which broken wires were counted."""

    LAY = "one lay"
    SIX_DIAMETERS = "6 d"
    THIRTY_DIAMETERS = "30 d"


class Distribution(StrEnum):
    """How the broken wires lie among the strands."""

    EVEN = "even"
    PREDOMINANT = "one or two strands predominate"


class Rouge(IntEnum):
    """Fretting powder of the rope itself, red-brown, in the valleys."""

    NONE = 0
    TRACE = 1
    HEAVY = 2


class Lubrication(StrEnum):
    """What a finger wiped along a rope or in its groove shows."""

    DRY = "dry"
    SMUDGE = "smudge"
    WET = "wet"


class OuterStrand(StrEnum):
    """The strand construction for which crown wire flats are tabulated."""

    SEALE = "crown_flat_seale"
    WARRINGTON = "crown_flat_warrington"
    FILLER = "crown_flat_filler"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class BreakCount:
    """Broken wires counted once: at one place, over one window, at one visit.

    None is "not counted". A part above the total is no mistake to be thrown away: the
    rope has at least as many broken wires as any part of it.
    """

    window: Window = Window.LAY
    total: int | None = None
    worst_strand: int | None = None
    two_worst_strands: int | None = None
    adjacent: int | None = None
    valley: int | None = None
    distribution: Distribution | None = None

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a count below zero."""
        counts = {
            "breaks_total": self.total,
            "breaks_worst_strand": self.worst_strand,
            "breaks_two_worst_strands": self.two_worst_strands,
            "breaks_adjacent": self.adjacent,
            "breaks_valley": self.valley,
        }
        require_not_negative(**{k: v for k, v in counts.items() if v is not None})

    @property
    def least_total(self) -> int | None:
        """Return the least that the total can be by any part that was counted."""
        parts = (
            self.total,
            self.worst_strand,
            self.two_worst_strands,
            self.adjacent,
            self.valley,
        )
        return max((part for part in parts if part is not None), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One rope at one place. None is "not seen", which is never "nothing there".

    `further` are counts of broken wires over other windows, at other places and
    visits since the rope was fitted: wires do not heal, so none clears another.
    """

    nominal_diameter_mm: float
    strands: int | None = None
    wires_per_rope: int | None = None
    outer_strand: OuterStrand | None = None
    window: Window = Window.LAY
    breaks_total: int | None = None
    breaks_worst_strand: int | None = None
    breaks_two_worst_strands: int | None = None
    breaks_adjacent: int | None = None
    breaks_valley: int | None = None
    distribution: Distribution | None = None
    inspected_monthly: bool = False
    rouge: Rouge | None = None
    wires_worn_or_rusted: bool | None = None
    diameters_mm: tuple[float, ...] = ()
    unworn_diameter_mm: float | None = None
    outer_wire_wear_ratio: float | None = None
    crown_flat_mm: float | None = None
    lay_length_mm: float | None = None
    lay_length_as_fitted_mm: float | None = None
    further: tuple[BreakCount, ...] = ()
    deformation_seen: bool | None = None
    twist_seen: bool | None = None
    lubrication: Lubrication | None = None

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a size, count or pairing that cannot be."""
        require_positive(nominal_diameter_mm=self.nominal_diameter_mm)
        _require_sizes(self)
        _require_counts(self)

    @property
    def counted(self) -> tuple[BreakCount, ...]:
        """Return every count of broken wires, this observation's own leading."""
        own = BreakCount(
            window=self.window,
            total=self.breaks_total,
            worst_strand=self.breaks_worst_strand,
            two_worst_strands=self.breaks_two_worst_strands,
            adjacent=self.breaks_adjacent,
            valley=self.breaks_valley,
            distribution=self.distribution,
        )
        return (own, *self.further)


def _require_sizes(seen: Observation) -> None:
    sizes = {
        "strands": seen.strands,
        "wires_per_rope": seen.wires_per_rope,
        "unworn_diameter_mm": seen.unworn_diameter_mm,
        "lay_length_mm": seen.lay_length_mm,
        "lay_length_as_fitted_mm": seen.lay_length_as_fitted_mm,
    }
    require_positive(**{name: size for name, size in sizes.items() if size is not None})
    for diameter_mm in seen.diameters_mm:
        require_positive(diameters_mm=diameter_mm)
    if len(seen.diameters_mm) > 2:
        raise OutsideValidity(
            name="len(diameters_mm)",
            value=len(seen.diameters_mm),
            rule=because(Code.RULE_TWO_DIAMETERS),
        )


def _require_counts(seen: Observation) -> None:
    counts = {
        "breaks_total": seen.breaks_total,
        "breaks_worst_strand": seen.breaks_worst_strand,
        "breaks_two_worst_strands": seen.breaks_two_worst_strands,
        "breaks_adjacent": seen.breaks_adjacent,
        "breaks_valley": seen.breaks_valley,
        "outer_wire_wear_ratio": seen.outer_wire_wear_ratio,
        "crown_flat_mm": seen.crown_flat_mm,
    }
    known = {name: count for name, count in counts.items() if count is not None}
    require_not_negative(**known)
