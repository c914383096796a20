"""The condition report: what an owner receives for a building and a period."""

from dataclasses import dataclass

from reports.content.charts import (
    GrooveSection,
    PortfolioStrip,
    RimSection,
    TensionBars,
    WearCurve,
)
from reports.content.grade import PrintedGrade
from reports.content.pieces import Masthead, Photo, Row, Table
from reports.content.stops import OutOfService
from reports.content.traction import TractionSheet, WorkedPart
from reports.content.tried import TriedChange
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class AnsweredQuestion:
    """A question an owner asks, answered in plain words on page one.

    ``heads`` are the codes of the machines that each paragraph begins with, as
    "M-01, M-03"; empty in documents that an earlier version made. Those name in
    ``machines`` the one that a paragraph is about, "" for none.
    """

    question: str
    paragraphs: tuple[str, ...]
    machines: tuple[str, ...] = ()
    heads: tuple[tuple[str, ...], ...] = ()

    def __post_init__(self) -> None:
        if self.heads and len(self.heads) != len(self.paragraphs):
            raise ValueError(
                f"{len(self.heads)} heads for {len(self.paragraphs)} paragraphs; "
                "each must have its own"
            )
        if self.machines and len(self.machines) != len(self.paragraphs):
            raise ValueError(
                f"{len(self.machines)} machines for {len(self.paragraphs)} paragraphs; "
                "each must have its own"
            )

    def head(self, at: int) -> tuple[str, ...]:
        """Return the machines that a paragraph begins with."""
        if self.heads:
            return self.heads[at]
        code = self.machines[at] if self.machines else ""
        return (code,) if code and self.paragraphs[at].startswith(code) else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftLine:
    """One lift in a line: its state, when it was last measured, what says most."""

    machine: str
    name: str
    grade: PrintedGrade
    state: str
    measured: str
    says_most: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """Something that must be decided, and by when.

    ``advice`` is what the contractor advises or has chosen, ``order_by`` the day
    before which parts have to be ordered for it, ``answer_by`` the day before which
    the owner has to answer. ``asks`` and ``work`` are the codes of what it is about and
    of the work named: the next report follows them and does not print them.
    """

    machine: str
    matter: str
    plan_before: str
    chance: str
    cost: str
    advice: str = ""
    order_by: str = ""
    answer_by: str = ""
    asks: str = ""
    work: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """The first page in plain words.

    ``total`` is what all of the decisions may cost; ``provisional`` says which limits
    decide that are from memory, ``next_visit`` when somebody comes to read again,
    ``call`` whom to answer.
    """

    headline: str
    answers: tuple[AnsweredQuestion, ...]
    decisions: tuple[Decision, ...]
    strip: PortfolioStrip | None
    lifts: tuple[LiftLine, ...] = ()
    provisional: str = ""
    next_visit: str = ""
    call: str = ""
    total: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFinding:
    """One criterion applied at one place.

    ``meaning`` says it in plain words; ``cautions`` are texts that must stand
    beside this finding; ``readings`` name rows of the readings appendix.
    ``contradicted`` says what outranks a calculated margin.
    """

    what: str
    where: str
    grade: PrintedGrade
    value: str
    limit: str
    margin: str
    meaning: str
    criterion: str
    source: str
    how_sure: str
    readings: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    contradicted: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotAssessed:
    """A check that was not made, why, and what would close the gap."""

    what: str
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedOption:
    """Something that can be done about a machine. ``blocked`` says why not.

    ``possible`` says whether it can be carried out, with its chance; ``pointless``
    why it would not help; ``measure_before`` what must be known to decide on it.
    ``cost`` is a sum, or what is missing for one; no rate of the contractor's.
    ``further`` is what else is known of it, each under its label.
    """

    name: str
    addresses: str
    plan_before: str
    cost: str
    consequence: str
    blocked: str
    is_recommended: bool
    possible: str = ""
    order_by: str = ""
    leaves_open: str = ""
    measure_before: str = ""
    pointless: str = ""
    is_chosen: bool = False
    further: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MachinePages:
    """One machine. ``code`` is unique within the document.

    ``findings`` are those that ask for something; ``checks`` has every one.
    """

    code: str
    name: str
    place: str
    grade: PrintedGrade
    summary: str
    description: tuple[Row, ...]
    findings: tuple[PrintedFinding, ...]
    groove_sections: tuple[GrooveSection, ...]
    wear_curves: tuple[WearCurve, ...]
    rim: RimSection | None
    tensions: TensionBars | None
    rope_table: Table | None
    not_assessed: tuple[NotAssessed, ...]
    readings: Table | None
    checks: Table | None = None
    options: tuple[PrintedOption, ...] = ()
    recommendation: str = ""
    options_cautions: tuple[str, ...] = ()
    reading_matrices: tuple[Table, ...] = ()
    traction: TractionSheet | None = None
    worked: tuple[WorkedPart, ...] = ()
    photos: tuple[Photo, ...] = ()
    photos_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AppliedLimit:
    """A limit of a criteria set, where it comes from, how that was checked."""

    name: str
    limit: str
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AppliedSet:
    """The set of limits that was applied."""

    name: str
    edition: str
    note: str
    criteria: tuple[AppliedLimit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionReport:
    """Everything the condition report says, and nothing more."""

    masthead: Masthead
    wording: Wording
    summary: Summary
    machines: tuple[MachinePages, ...]
    criteria_sets: tuple[AppliedSet, ...]
    glossary: tuple[Row, ...]
    method: tuple[Row, ...]
    out_of_service: tuple[OutOfService, ...] = ()
    tried: tuple[TriedChange, ...] = ()

    def __post_init__(self) -> None:
        codes = [machine.code for machine in self.machines]
        if len(set(codes)) != len(codes):
            raise ValueError("two machines have the same code; each must have its own")
