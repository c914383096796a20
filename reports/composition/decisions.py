"""What must be decided of one machine, and by when."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from inspections import condition
from inspections.models import Forecast, Grade
from inspections.reasons import Topic
from reports import content
from reports.composition import graded, words
from reports.composition.decided import advice
from reports.composition.decided.advice import Advice, AdvisedWork
from reports.composition.reader import Reader
from reports.queries import MachineRecord

_TOPIC_OF = {
    "seat_depth": Topic.BOTTOM_CLEARANCE,
    "diameter_loss": Topic.ROPE_DIAMETER,
    "counterweight_runby": Topic.COUNTERWEIGHT_RUNBY,
    "broken_wires": Topic.BROKEN_WIRES,
    "pulley_groove_spread": Topic.PULLEY_GROOVES,
}
# Worn quantity -> the findings that its limit is about.
_TOPICS_OF = {
    "seat_depth": (Topic.BOTTOM_CLEARANCE, Topic.TRACTION, Topic.HARDENED),
    "diameter_loss": (Topic.ROPE_DIAMETER,),
    "counterweight_runby": (Topic.COUNTERWEIGHT_RUNBY,),
    "broken_wires": (Topic.BROKEN_WIRES,),
    "pulley_groove_spread": (Topic.PULLEY_GROOVES,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedMatter:
    """A matter as it is printed, and the course behind it."""

    printed: content.Decision
    advice: Advice
    is_now: bool


def matters_of(
    facts: MachineRecord, *, reader: Reader, today: date
) -> list[PrintedMatter]:
    """Return the matters of one machine: findings first, then the next forecast."""
    code = facts.machine.code
    decided: dict[str, PrintedMatter] = {}
    for finding in graded.urgent(facts):
        matter = words.topic(finding.topic).decision
        now = finding.grade == Grade.ACT_NOW
        if matter:
            decided.setdefault(
                matter,
                _advised(
                    content.Decision(
                        machine=code,
                        matter=matter,
                        plan_before="",
                        chance=_("limit reached") if now else "",
                        cost="",
                        asks=str(finding.topic),
                    ),
                    _with_answer(
                        facts,
                        advice.on(facts, finding.topic, reader=reader),
                        reader=reader,
                    ),
                    when=today if now else _when(facts, finding.topic),
                    reader=reader,
                    today=today,
                ),
            )
    # A limit that comes near is told beside what was found: it has days of its own.
    for ahead in _ahead(facts, reader=reader, today=today):
        decided.setdefault(words.topic(ahead.printed.asks).decision, ahead)
    return _each_cost_once(list(decided.values()))


def undecided(code: str, matters: Iterable[PrintedMatter]) -> Iterator[AdvisedWork]:
    """Yield the first work that answers each matter nobody has decided, once."""
    seen = set()
    for matter in matters:
        found = matter.advice
        if found.is_open and found.estimate and found.kind not in seen:
            seen.add(found.kind)
            yield AdvisedWork(
                code=code,
                kind=found.kind,
                cost=found.estimate,
                order_by_on=found.order_by_on,
            )


def total(
    facts: Sequence[MachineRecord],
    matters: Mapping[str, Sequence[PrintedMatter]],
    still_open: Sequence[AdvisedWork],
) -> str:
    """Return what all matters may cost together; empty where nothing asks."""
    estimates = [
        (code, one.advice.estimate) for code, found in matters.items() for one in found
    ]
    if not estimates:
        return ""
    return advice.total(
        facts,
        undecided=still_open,
        unpriced=[
            code for code, cost in estimates if not cost or cost.get("mid") is None
        ],
    )


def _advised(
    decision: content.Decision,
    found: Advice,
    *,
    when: date | None,
    reader: Reader,
    today: date,
) -> PrintedMatter:
    """Return a decision with what is chosen or advised for it, and its days.

    `when` is the day before which it is planned, None at the next visit.
    """
    is_due = when is not None and when <= today
    if found.plan_before_on is not None and not is_due:
        when = found.plan_before_on
    is_now = when is not None and when <= today
    told = _("at the next visit") if when is None else reader.day(when)
    told = _("now") if is_now else told
    ordered = advice.order_day(found.order_by_on, reader=reader, today=today)
    printed = replace(
        decision,
        # What nobody has chosen or advised is no matter that asks for a work by name.
        matter=words.topic(decision.asks).what if found.is_open else decision.matter,
        plan_before=told,
        advice=found.words,
        order_by=ordered,
        # What has to be ordered is decided before it is ordered.
        answer_by=_("now") if is_due else ordered or told,
        cost=found.cost,
        work=found.kind,
    )
    return PrintedMatter(printed=printed, advice=found, is_now=is_now)


def _with_answer(facts: MachineRecord, found: Advice, *, reader: Reader) -> Advice:
    """Return the advice with what the owner said to it, which is no order."""
    said = next((each for each in facts.answers if each.kind == found.kind), None)
    if said is None:
        return found
    words = _("the owner's answer, no order (%(who)s, %(day)s): %(answer)s") % {
        "who": said.by,
        "day": reader.day(said.at.date()),
        "answer": _(said.words),
    }
    return replace(found, words=f"{found.words}; {words}" if found.words else words)


def _each_cost_once(matters: Sequence[PrintedMatter]) -> list[PrintedMatter]:
    """Return the matters; one that the same work answers costs nothing more."""
    seen: set[str] = set()
    found = []
    for matter in matters:
        words_of = matter.printed.advice
        is_again = bool(words_of) and words_of in seen
        seen.add(words_of)
        printed = matter.printed
        if is_again:
            printed = replace(printed, cost=_("with the above"))
        found.append(replace(matter, printed=printed))
    return found


def _ahead(facts: MachineRecord, *, reader: Reader, today: date) -> list[PrintedMatter]:
    first = graded.first_limit(facts)
    due = first.plan_before_on if first else None
    if first is None or due is None or due > today + condition.PLAN_AHEAD:
        return []
    decision = content.Decision(
        machine=facts.machine.code,
        matter=words.topic(_TOPIC_OF.get(first.quantity, "")).decision,
        plan_before="",
        chance=_chance(first, today=today),
        cost="",
        asks=str(_TOPIC_OF.get(first.quantity, "")),
    )
    found = _with_answer(
        facts, advice.on(facts, first.quantity, reader=reader), reader=reader
    )
    return [_advised(decision, found, when=due, reader=reader, today=today)]


def _when(facts: MachineRecord, topic: str) -> date | None:
    """Return the planning date of the limit that a finding is about, if it has one.

    A date of another part of the machine would be no date for this matter.
    """
    about = [f for f in facts.forecasts if topic in _TOPICS_OF.get(f.quantity, ())]
    first = condition.first_limit(about)
    return first.plan_before_on if first is not None else None


def _chance(forecast: Forecast, *, today: date) -> str:
    """Return the chance that goes with a planning date."""
    if forecast.plan_before_on is not None and forecast.plan_before_on <= today:
        return _("more than 1 in 50 already or soon")
    if forecast.plan_before_on == forecast.p02_on:
        return _("about 1 in 50")
    if forecast.plan_before_on == forecast.p10_on:
        return _("about 1 in 10")
    # The contractor plans more cautiously than that.
    if forecast.safety:
        return _("less than 1 in 50")
    return _("less than 1 in 10")
