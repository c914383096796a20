"""What is said about a limit on the seat depth."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.records import made_by_slots


class LimitReason(StrEnum):
    """What sets a limit on the seat depth."""

    LOADING = "LOADING"
    BRAKING_FULL = "BRAKING_FULL"
    BRAKING_EMPTY = "BRAKING_EMPTY"
    STALLED_COUNTERWEIGHT = "STALLED_COUNTERWEIGHT"
    STALLED_CAR = "STALLED_CAR"
    BOTTOMING = "BOTTOMING"


class LimitOutcome(StrEnum):
    """What came of looking for a limit."""

    CLOSES_UNTIL = "CLOSES_UNTIL"
    DOES_NOT_CLOSE_AS_NEW = "DOES_NOT_CLOSE_AS_NEW"
    HOLDS_THROUGHOUT = "HOLDS_THROUGHOUT"
    ACCEPTED_OTHERWISE = "ACCEPTED_OTHERWISE"
    NOT_KNOWN = "NOT_KNOWN"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class DepthLimit:
    """One limit on how far a seat may sink.

    Parameters
    ----------
    reason : the load case, or the rope reaching the bottom
    outcome : only CLOSES_UNTIL has a depth. DOES_NOT_CLOSE_AS_NEW asks for the
        register's data to be checked; NOT_KNOWN means that nobody knows where
        the groove's bottom is; ACCEPTED_OTHERWISE that the drive itself stalls
    depth_mm : seat depth at which the calculation no longer closes, or at which
        the clearance is down to what the code allows [mm]
    sd_mm : its standard deviation from the register's uncertainties [mm]
    shares : (item, standard deviation it brings [mm]), greatest first, only
        those that bring any
    borrowed : whether the method is borrowed, so that a test decides

    Raises nothing; depth_limits makes it.

    Source: derived from EN 81-50:2014 5.11.2.1.

    >>> DepthLimit(reason=LimitReason.BOTTOMING, outcome=LimitOutcome.CLOSES_UNTIL,
    ...     depth_mm=2.0, sd_mm=0.2, shares=(("bottom_clearance_mm", 0.2),),
    ...     borrowed=False).dominating
    'bottom_clearance_mm'
    """

    reason: LimitReason
    outcome: LimitOutcome
    depth_mm: float | None
    sd_mm: float | None
    shares: tuple[tuple[str, float], ...]
    borrowed: bool

    @property
    def dominating(self) -> str | None:
        """The register's item that brings most of the standard deviation."""
        return self.shares[0][0] if self.shares else None
