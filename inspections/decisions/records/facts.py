"""What is known of a machine when a decision about it is prepared."""

from dataclasses import dataclass, field
from datetime import date

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.cut import Proof, SeatAt, SheaveToCut
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.rim import RimMetal
from inspections.engineering.traction import LoadCase, TractionRules
from inspections.engineering.verdict import Item
from inspections.reasons import Grade, Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFinding:
    """One finding of the latest assessment, whatever its grade.

    `key` tells findings of one machine apart and stays the same between runs, such as
    "traction/groove 3". `stop` is set where the finding stops service, `unconfirmed`
    where it rests on a reading nobody has confirmed yet.
    """

    key: str
    topic: str
    grade: Grade
    place: str = ""
    criterion: str = ""
    reason: str = ""
    status: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    stop: bool = False
    unconfirmed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadLimit:
    """One forecast limit: when it is met, as far as that may be shown.

    quantity, place : as in the forecast, such as "seat_depth" of "groove 3"
    safety : whether it is a limit of safety
    reason : what sets the limit, such as BRAKING_EMPTY
    wear_class : machines of one class share what was learnt of their rate
    level, limit, limit_sd : in the unit of the quantity, from new
    rate_per_year : units of the quantity a year
    p02_on .. p90_on : days before which it is met with that chance; None where not
        shown
    plan_before_on : the day to plan on
    chance_already : that it is met already
    measure_first : the register's field that blurs the date most, "" for none
    limit_share : share of the date's variance that the limit's own deviation makes
    own : False where it rests on other machines alone
    """

    quantity: str
    place: str
    safety: bool
    reason: str = ""
    wear_class: str = ""
    level: float | None = None
    limit: float | None = None
    limit_sd: float = 0.0
    rate_per_year: float | None = None
    last_on: date | None = None
    p02_on: date | None = None
    p10_on: date | None = None
    p50_on: date | None = None
    p90_on: date | None = None
    plan_before_on: date | None = None
    chance_already: float | None = None
    measure_first: str = ""
    limit_share: float | None = None
    own: bool = True
    beyond: bool = False

    @property
    def key(self) -> str:
        """Tells limits of one machine apart."""
        return f"{self.quantity}/{self.place}" if self.place else self.quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseMargin:
    """One load case now: the least margin over the ropes, positive is good.

    `as_new` is the margin with every seat new, when stalled the least until new seats
    have bedded in; `met_otherwise` is set where the drive
    itself stalls or is stopped.
    """

    case: LoadCase
    now: float | None
    as_new: float | None
    met_otherwise: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WrapPulley:
    """The pulley that sets the wrap, where the wrap follows from geometry [mm]."""

    pulley_diameter_mm: float
    offset_x_mm: float
    drop_h_mm: float
    double: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineFacts:
    """Everything an option is worked out from. None is "not known", never "none".

    machine_key : a number that stays the same, from which draws are seeded
    criteria_set : the building's criteria set
    rope_diameter_mm : nominal diameter of the set to be fitted
    rope_count, rope_length_m : ropes of the set, and the length of one rope
    rope_length_spread : the share that the length may be off by, 0 as measured
    sheave, seats, rim, proof : what a cut is planned from
    suspension, groove, traction_rules : what traction is computed from; groove as last
        turned, wrap in the suspension
    other_masses : the same with other masses and wraps that may be, where readings
        say otherwise than the register
    braking_hardest : the rules with the machine braking as hard as it may, where nobody
        has registered how hard it does; None where that is known
    deflector : None where the wrap was registered as an angle
    margins : every load case as the latest assessment has it; () is not assessed
    new_rope_is_pinched : a rope of the nominal diameter would be pinched in a seat as
        it is; None where the seats' radius is not known
    feed_is_equal : whether the grooves feed the ropes equally; None is not known
    ropes_oiled : whether a rope was last read as wet; None is not looked at
    rim_is_renewable : whether the rim is bolted on and can be renewed alone
    next_visit_on, visit_before_on : of the forecasts
    findings : all findings of the latest assessment
    ahead : all current forecasts
    unmeasured : what the worklist asks to measure
    uncomputable : why nothing at all can be worked out (belt, coated rope), or None
    """

    machine_key: int
    criteria_set: CriteriaSet
    rope_diameter_mm: float | None = None
    rope_count: int | None = None
    rope_length_m: float | None = None
    rope_length_spread: float = 0.0
    sheave: SheaveToCut | None = None
    seats: tuple[SeatAt, ...] = ()
    rim: RimMetal | None = None
    proof: Proof = field(default_factory=Proof)
    suspension: Suspension | None = None
    other_masses: tuple[Suspension, ...] = ()
    groove: TurnedGroove | None = None
    traction_rules: TractionRules | None = None
    braking_hardest: TractionRules | None = None
    deflector: WrapPulley | None = None
    margins: tuple[CaseMargin, ...] = ()
    new_rope_is_pinched: bool | None = None
    feed_is_equal: bool | None = None
    ropes_oiled: bool | None = None
    rim_is_renewable: bool | None = None
    next_visit_on: date | None = None
    visit_before_on: date | None = None
    findings: tuple[OpenFinding, ...] = ()
    ahead: tuple[AheadLimit, ...] = ()
    unmeasured: tuple[Item, ...] = ()
    uncomputable: Reason | None = None
