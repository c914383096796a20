"""Violations that are known and not mended yet: each named, none hidden.

A test that meets one is an expected failure under its name. A line is taken away when
the violation is mended.
"""

from dataclasses import dataclass

from tests.histories.promises import Violation


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a known violation looks like: parts of its promise, change and place."""

    name: str
    promise: str = ""
    change: str = ""
    where: str = ""
    life: str = ""

    def is_like(self, violation: Violation) -> bool:
        return (
            self.promise in violation.promise
            and self.change in violation.change
            and self.where in violation.where
            and self.life in violation.life
        )


KNOWN: tuple[Known, ...] = (
    # Seed 60022, life 8: bands that only say how deep a seat is at least have no
    # scatter of their own, and count with the tolerance of a new seat (0.1 mm). Bands a
    # little less wide count with their own (0.05 mm), and so pull the date more. Such a
    # depth is to be taken for what it is, a bound; a smaller scatter would hold back a
    # seat that has sunk deeper than its bound.
    Known(
        name="bands that are refused either way move the date of the seat",
        promise="P1 date",
        change="seat_band_width",
        where="seat_depth",
        life="h60022-8",
    ),
)


def name_of(violation: Violation) -> str | None:
    """Return the name of a violation that is known, None for a new one."""
    for each in KNOWN:
        if each.is_like(violation):
            return each.name
    return None
