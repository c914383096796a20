"""What is said over a horizon: the comparison of options, and the budget."""

from dataclasses import dataclass
from datetime import date

from inspections.decisions.records.facts import AheadLimit
from inspections.decisions.records.kind import OptionKind, Possible
from inspections.decisions.records.learnt import ClassTaken
from inspections.decisions.records.option import Cost, SourcedReason
from inspections.engineering.verdict import Item
from inspections.reasons import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What following a machine into the future needs of one kind of work.

    further_cuts : cuts that fit after this one, None if not known; cuts only
    lead_days : from order to work, None if not known
    """

    kind: OptionKind
    possible: Possible
    cost: Cost
    further_cuts: int | None = None
    lead_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMachine:
    """A machine as the budget follows it.

    offers : one for each kind of work that was worked out
    chosen, planned_on : work somebody of the office has chosen, and its day
    stands : it is out of service until that work is done
    """

    machine_key: int
    ahead: tuple[AheadLimit, ...]
    offers: tuple[Offer, ...]
    chosen: OptionKind | None = None
    planned_on: date | None = None
    stands: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A sum: its mean, and P10 to P90 of the joint distribution."""

    mean: float
    p10: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Days out of service because a limit was reached before the work came.

    cost : None where something is missing to say it, which `missing` names; no days
        cost nothing
    """

    days: Expected
    cost: Expected | None
    missing: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowedOption:
    """One option followed over the horizon.

    cost_* : works and standing, less what is left at the horizon of what was renewed:
        expected, and with 1 and 9 chances in 10 below; None where a price is missing,
        which `missing` names
    left_mean : what is left at the horizon, taken off the cost; None where cost is
    standing : days out of service while waiting for work, and their cost
    visits : expected visits with the machine out of service
    visits_p10, visits_p90 : 1 and 9 chances in 10 below
    works : expected number of works by kind over the horizon
    """

    kind: OptionKind
    cost_mean: float | None
    cost_p10: float | None
    cost_p90: float | None
    left_mean: float | None
    standing: Standing
    visits_mean: float
    visits_p10: float
    visits_p90: float
    works: tuple[tuple[OptionKind, float], ...]
    missing: tuple[Item, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthMeasuring:
    """What it is expected to save to know one thing before it is decided.

    field : of the register, which blurs dates of this machine most
    dates : how many of its dates it blurs
    expected : cost over the horizon of deciding as things stand, for `choice`
    saves : of that, expected, before what the measuring costs; never negative
    costs : likely, None where it is not known
    choice, choice_knowing : the cheapest option as it is, and the one that is cheapest
        most often once it is known
    """

    field: str
    dates: int
    expected: float
    saves: float
    costs: float | None
    choice: OptionKind
    choice_knowing: OptionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The options side by side over the horizon, in the order of OptionKind.

    cheapest : None where no cost can be compared
    ties : kinds whose expected cost cannot be told from the cheapest one's
    chance_cheapest : share of draws in which the cheapest one is the cheapest
    doubts : why the comparison is not sure
    left_out : options that were not followed, each with its reason
    classes : with which spread and correlations each class of wear was followed
    measuring : what it is worth to measure first, None where nothing blurs a date or no
        cost can be compared
    """

    horizon_years: float
    draws: int
    currency: str
    courses: tuple[FollowedOption, ...]
    cheapest: OptionKind | None
    ties: tuple[OptionKind, ...]
    chance_cheapest: float | None
    doubts: tuple[SourcedReason, ...]
    left_out: tuple[tuple[OptionKind, Reason], ...]
    classes: tuple[ClassTaken, ...]
    measuring: WorthMeasuring | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarter:
    """What one quarter is expected to ask for."""

    begins_on: date
    counts: tuple[tuple[OptionKind, Expected], ...]
    cost: Expected


@dataclass(frozen=True, slots=True, kw_only=True)
class CostOfKind:
    """What one kind of work costs over all quarters, and how far it moves the sum.

    spread_share : covariance with the whole cost in shares of its variance; the kinds'
        shares add up to 1, and None stands where the whole cost is sure
    """

    kind: OptionKind
    cost: Expected
    spread_share: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CostOfMachine:
    """What one machine costs over all quarters."""

    machine_key: int
    cost: Expected


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """The portfolio by quarter, and in sum.

    A sum of quarters' P90 is not the P90 of the sum, which `whole` has. `without_dates`
    are machines of which no date may be shown, and which are in no number here;
    `without_cost` is work that is counted and costs nothing here because a rate is
    missing. `standing` is beside the cost of the works, over all quarters, and in no
    other number. `classes` says with which spread and correlations each class of wear
    was followed. `by_kind` has the kind first that moves the sum most, `dearest` at
    most ten machines.
    """

    currency: str
    draws: int
    quarters: tuple[Quarter, ...]
    whole: Quarter
    standing: Standing
    by_kind: tuple[CostOfKind, ...]
    dearest: tuple[CostOfMachine, ...]
    machines: int
    without_dates: tuple[int, ...]
    without_cost: tuple[tuple[OptionKind, Item], ...]
    classes: tuple[ClassTaken, ...]
    cautions: tuple[Reason, ...]
