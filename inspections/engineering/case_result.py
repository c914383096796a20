"""What is said about one groove: every load case, with one margin."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.groove.contact import Contact
from inspections.engineering.tensions import CaseTensions
from inspections.engineering.traction.rules import LoadCase
from inspections.records import made_by_slots


class CaseStanding(StrEnum):
    """What one load case says by itself, whatever the others say.

    CLOSES: the calculation closes as worn. WORN_OUT: it closed as new and no longer
    does. NOT_AS_NEW: it does not close and did not with the groove as new, so that
    register, method or load data are to be checked. ONLY_BEDDED_FAILS: stalled, it
    closes with the drawing's angle and not with the wider one of a rope thinner than
    its seat. ACCEPTED_OTHERWISE: stalled, and the drive itself stalls or is stopped.
    """

    CLOSES = "CLOSES"
    WORN_OUT = "WORN_OUT"
    NOT_AS_NEW = "NOT_AS_NEW"
    ONLY_BEDDED_FAILS = "ONLY_BEDDED_FAILS"
    ACCEPTED_OTHERWISE = "ACCEPTED_OTHERWISE"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    """One load case of one groove, as worn.

    Parameters
    ----------
    tensions : T1 and T2 [N], and where they arise
    dynamic_factor : by which the code multiplies T1/T2 [-]
    friction_coefficient : μ [-]
    factor_ratios : f/μ of each pass [-]; when stalled the greatest between new
        and worn
    limit_ratio : greatest T1/T2 held, e^(Σ f·α) [-]
    utilisation : ln(T1/T2)/(Σ f·α) [-]
    margin : positive is good [-]
    margin_sd : its standard deviation from that of the seat depth [-]
    as_new_margin : the same with every seat new [-]
    renewed_margin : over the life of seats turned anew [-]: as new, and when stalled
        at the greatest friction there is until they have bedded in
    standard_margin : by the standard's closed form for the groove as turned
        [-]; None where the standard has no form for it
    upper_bound_margin : stalled, with uniform pressure [-]; None otherwise
    bedded_margin : stalled, with the greatest friction once a rope thinner than its
        seat has bedded in [-]; None otherwise. A failure by this alone is no reason
        for a stop: the calculation by the drawing's angle still closes
    closes : whether the margin is not negative
    accepted_otherwise : stalled, and the drive itself stalls or is stopped
    borrowed : whether the method is borrowed, so that a test decides

    Raises nothing; assess_groove makes it.

    Source: EN 81-50:2014 5.11.2.1.

    >>> [case.value for case in LoadCase if case.is_stalled]
    ['STALLED_COUNTERWEIGHT', 'STALLED_CAR']
    """

    tensions: CaseTensions
    dynamic_factor: float
    friction_coefficient: float
    factor_ratios: tuple[float, ...]
    limit_ratio: float
    utilisation: float
    margin: float
    margin_sd: float
    as_new_margin: float
    renewed_margin: float
    standard_margin: float | None
    upper_bound_margin: float | None
    bedded_margin: float | None
    closes: bool
    accepted_otherwise: bool
    borrowed: bool

    @property
    def case(self) -> LoadCase:
        """The load case."""
        return self.tensions.case

    @property
    def standing(self) -> CaseStanding:
        """What the case says by itself."""
        if self.accepted_otherwise:
            return CaseStanding.ACCEPTED_OTHERWISE
        if self.margin < 0.0:
            if self.as_new_margin < 0.0:
                return CaseStanding.NOT_AS_NEW
            return CaseStanding.WORN_OUT
        if self.bedded_margin is not None and self.bedded_margin < 0.0:
            return CaseStanding.ONLY_BEDDED_FAILS
        return CaseStanding.CLOSES


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveAssessment:
    """Every load case of one rope's groove, or pair of grooves, as worn.

    Parameters
    ----------
    contacts : contact of the rope in the groove of each pass, arcs in [rad]
    cases : the load cases of the code, in its order

    Raises nothing; assess_groove makes it.

    Source: EN 81-50:2014 5.11.2.

    >>> from dataclasses import fields
    >>> [item.name for item in fields(GrooveAssessment)]
    ['contacts', 'cases']
    """

    contacts: tuple[Contact, ...]
    cases: tuple[CaseResult, ...]

    @property
    def closes(self) -> bool:
        """Whether every case closes, or is met by the drive that stalls."""
        return all(found.closes or found.accepted_otherwise for found in self.cases)

    @property
    def worst(self) -> CaseResult:
        """The case with the least margin, of those the drive does not meet."""
        judged = [found for found in self.cases if not found.accepted_otherwise]
        return min(judged or self.cases, key=lambda found: found.margin)
