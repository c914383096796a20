"""One option as it was worked out, with every reason and where it comes from."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from inspections.decisions.records.kind import OptionKind, Possible
from inspections.engineering.cut import CutPlan
from inspections.engineering.traction import LoadCase
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, Term, because, english
from inspections.reasons.reason import Value

# Where a reason is from: what the catalogue names, or the name of a document.
Source = Term | str


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcedReason:
    """A reason, and its sources: a document, geometry, or our rule."""

    said: Reason
    sources: tuple[Source, ...] = (Term.OUR_RULE,)

    @property
    def source(self) -> str:
        """Where it is from, in English."""
        return named_sources(self.sources)

    @property
    def text(self) -> str:
        """What is said, in English."""
        return str(self.said)


def named_sources(sources: tuple[Source, ...]) -> str:
    """Return sources one after another, in English."""
    return "; ".join(
        english(each) if isinstance(each, Term) else each for each in sources
    )


def sourced(code: Code, /, *by: Source, **values: Value) -> SourcedReason:
    """Return a reason with its sources; `values` are those that its code declares.

    Without a source it is our rule.
    """
    return SourcedReason(said=because(code, **values), sources=by or (Term.OUR_RULE,))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What an option costs, or what is missing to say it.

    Where `missing` names anything, low, mid and high are None.
    """

    currency: str
    low: float | None = None
    mid: float | None = None
    high: float | None = None
    missing: tuple[Item, ...] = ()

    @property
    def is_estimated(self) -> bool:
        """Whether there is an amount."""
        return self.mid is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarginChange:
    """One load case before and after the work; None is not assessed."""

    case: LoadCase
    before: float | None
    after: float | None
    met_otherwise: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownField:
    """How documents show a field of an option: under which label, in which unit."""

    label: str
    unit: str = ""


SHOWN = "shown"


def shown(label: str, *, unit: str = "") -> Any:
    """Declare a field that documents show wherever it is known."""
    return field(default=None, metadata={SHOWN: ShownField(label=label, unit=unit)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """What one course would do, whether it can be taken, by when, at what cost.

    probability_possible : chance that the groove most likely to be too thin keeps the
        maker's least metal after the cut; None where it does not apply or is not known
    addresses, leaves_open : keys of findings, and of limits that are near
    leaves_stop_open : whether a finding that stops service is among those left
    limits_renewed : keys of the forecast limits that begin anew
    measure_before : what has to be measured before it can be decided
    next_reading_on : WATCH: the day before which to read again
    cut : the plan of the cut, for the options that cut
    out_of_service : the machine is to be out of service until a competent person has
        decided; the same for all options of a machine
    rank : 1 is first; recommended : the first, unless it is not possible, blocked,
        pointless or leaves a stop open

    A field is declared here alone: how it is stored and given, and that documents show
    it, follows from its annotation and `shown`.
    """

    kind: OptionKind
    possible: Possible
    probability_possible: float | None = None
    blocked_because: tuple[SourcedReason, ...] = ()
    pointless_because: tuple[SourcedReason, ...] = ()
    addresses: tuple[str, ...] = ()
    leaves_open: tuple[str, ...] = ()
    leaves_stop_open: bool = False
    limits_renewed: tuple[str, ...] = ()
    measure_before: tuple[Item, ...] = ()
    margins: tuple[MarginChange, ...] = ()
    pitch_diameter_after_mm: float | None = None
    diameter_ratio_after: float | None = None
    speed_after_m_s: float | None = None
    speed_ratio_after: float | None = None
    cut: CutPlan | None = None
    next_reading_on: date | None = None
    plan_before_on: date | None = None
    order_by_on: date | None = None
    lead_days: int | None = shown("time to get the parts", unit="days")
    cost: Cost = Cost(currency="")
    out_of_service: bool = False
    cautions: tuple[Reason, ...] = ()
    reasons: tuple[SourcedReason, ...] = ()
    rank: int = 0
    recommended: bool = False

    @property
    def is_pointless(self) -> bool:
        """Whether it could be done and would not help."""
        return bool(self.pointless_because)

    @property
    def is_blocked(self) -> bool:
        """Whether it must not be done as things stand."""
        return bool(self.blocked_because)
