"""The least margin of a machine's load cases with the rope at one depth."""

from collections.abc import Callable

from inspections.engineering import suspension
from inspections.engineering.case_result import CaseResult
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.suspension import Suspension, TractionRules


def least_of(
    hung: Suspension,
    *,
    groove: TurnedGroove,
    rules: TractionRules,
    depth_mm: float,
    counts: Callable[[CaseResult], bool],
) -> float:
    """Return the least margin of the load cases that count, 0 where none does.

    depth_mm : how deep each rope lies below its seat as machined [mm]
    Raises OutsideValidity for a machine that cannot be.
    """
    found = suspension.assess_groove(
        suspension=hung,
        groove=groove,
        seat_depths_mm=(depth_mm,) * len(hung.wrap.angles_rad),
        seat_depth_sd_mm=0.0,
        rules=rules,
    )
    return min((case.margin for case in found.cases if counts(case)), default=0.0)
