"""What diameters of a rope read at several visits still count for."""

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.engineering.evidence import Sighting, counts_as_mm
from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class DiameterSighting:
    """Diameters of a rope at one place and visit, and who read them with what.

    Parameters
    ----------
    diameters_mm : one or two at right angles [mm], > 0
    seen : the same as one value, their mean, with its uncertainty, place and visit

    Raises OutsideValidity for no diameter, more than two, or one not positive.

    Source: own definition.

    >>> from datetime import datetime
    >>> DiameterSighting(diameters_mm=(12.1, 12.3), seen=Sighting(value_mm=12.2,
    ...     sd_mm=0.05, taken_at=datetime(2030, 3, 1), visit=1)).diameters_mm
    (12.1, 12.3)
    """

    diameters_mm: tuple[float, ...]
    seen: Sighting

    def __post_init__(self) -> None:
        if not 1 <= len(self.diameters_mm) <= 2:
            raise OutsideValidity(
                name="len(diameters_mm)",
                value=len(self.diameters_mm),
                rule=because(Code.RULE_TWO_DIAMETERS),
            )
        for diameter_mm in self.diameters_mm:
            require_positive(diameters_mm=diameter_mm)


def counting_diameters_mm(
    *, sightings: Sequence[DiameterSighting]
) -> tuple[tuple[float, ...], ...]:
    """Return what the diameters of each sighting still count for [mm].

    Parameters
    ----------
    sightings : of one rope since it was fitted, in any order

    A rope does not grow thicker: a thin reading stands, wherever and however early it
    was taken, and is bounded by later independent ones at the same mark only. Both
    directions of a place are moved alike. Each is to be judged as a place of its own
    (judge_stations).

    Raises nothing.

    Source: own definition, the rule of evidence.counts_as_mm.

    >>> from datetime import datetime
    >>> thin, thick = (DiameterSighting(diameters_mm=(value, value), seen=Sighting(
    ...     value_mm=value, sd_mm=0.05, taken_at=datetime(2030, month, 1),
    ...     visit=month, mark=mark))
    ...     for value, month, mark in ((12.0, 3, "top"), (12.25, 9, "middle")))
    >>> counting_diameters_mm(sightings=(thin, thick))
    ((12.0, 12.0), (12.25, 12.25))
    """
    counted = counts_as_mm(sightings=[each.seen for each in sightings], falls=True)
    return tuple(
        tuple(
            diameter_mm + value_mm - each.seen.value_mm
            for diameter_mm in each.diameters_mm
        )
        for each, value_mm in zip(sightings, counted, strict=True)
    )
