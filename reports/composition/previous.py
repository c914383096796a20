"""What the last report asked for and what stood then, each followed to its end."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from inspections.decisions.records import OptionKind
from inspections.models import Grade, PlannedWork, PlanState, Stop
from inspections.planning import kinds
from reports import content
from reports.composition import graded, stops, words
from reports.composition.decided import spoken
from reports.composition.decisions import PrintedMatter
from reports.composition.lines import AnswerLine
from reports.composition.reader import Reader
from reports.models import Report, ReportState
from reports.queries import Answered, MachineRecord

_DECIDED_BY_THE_OWNER = frozenset(str(kind) for kind in OptionKind if kind.is_work)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastReport:
    """The last report on the same place, as it was issued."""

    number: str
    issued_at: datetime
    content: content.ConditionReport


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedBefore:
    """One matter of the last report, and what is known of its machine now."""

    decision: content.Decision
    facts: MachineRecord
    now: Sequence[PrintedMatter]
    last: LastReport

    @property
    def work(self) -> str:
        """Return the kind of work that was advised or chosen; "" where none was."""
        return self.decision.work


def last_report(*, scope: Scope, report: Report) -> LastReport | None:
    """Return the last report on the same place; None where there is none to read."""
    last = (
        Report.objects.within(scope)
        .filter(
            kind=report.kind,
            owner=report.owner,
            building=report.building,
            state=ReportState.PUBLISHED,
        )
        .exclude(pk=report.pk)
        .order_by("-issued_at")
        .first()
    )
    if last is None or last.content is None or last.issued_at is None:
        return None
    frozen = content.from_plain(last.content)
    if not isinstance(frozen, content.ConditionReport):
        return None
    return LastReport(number=last.number, issued_at=last.issued_at, content=frozen)


def followed(
    last: LastReport,
    facts: Sequence[MachineRecord],
    *,
    matters: Mapping[str, Sequence[PrintedMatter]],
    ended: Sequence[Stop],
    reader: Reader,
) -> tuple[AnswerLine, ...]:
    """Return a line for each matter and each stop of the last report.

    `matters` are what is asked now, by machine; `ended` the stops that have ended.
    """
    known = {one.machine.code: one for one in facts}
    told = [*_stops(last, known, ended, reader=reader)]
    for decision in last.content.summary.decisions:
        code = decision.machine
        if code not in known:
            became = _("the machine is no longer in this report")
        else:
            asked = AskedBefore(
                decision=decision,
                facts=known[code],
                now=matters.get(code, ()),
                last=last,
            )
            became = "; ".join(_became(asked, reader=reader))
        what = f"{code}: {_what(decision, reader=reader)}"
        told.append(AnswerLine(text=f"{what} – {became}.", machines=(code,)))
    return tuple(told)


def _what(decision: content.Decision, *, reader: Reader) -> str:
    """Return what was asked, in this report's own language where that is known."""
    matter = decision.matter
    if decision.asks:
        matter = words.topic(decision.asks).decision or matter
    if decision.work in kinds.TERMS:
        return f"{matter} ({spoken.kind(decision.work, reader=reader)})"
    return matter


def _became(asked: AskedBefore, *, reader: Reader) -> Iterator[str]:
    """Yield what was done, answered and planned, and whether it is still asked for."""
    works = _works_since(asked, reader=reader)
    wanted = kinds.REPORTED_AS.get(asked.work)
    done = [work for work in works if work.kind == wanted]
    answer = _answer_since(asked)
    planned = _planned(asked)
    for work in done or works:
        yield _("%(work)s on %(day)s") % {
            "work": words.said(str(work.get_kind_display())),
            "day": reader.day(work.done_on),
        }
    if answer is not None:
        yield _("the owner's answer of %(day)s: %(answer)s (%(who)s)") % {
            "day": reader.day(answer.at),
            "answer": _(answer.words),
            "who": answer.by,
        }
    if planned is not None and not done:
        yield _plan(planned, reader=reader)
    is_open = not done and planned is None and answer is None
    if is_open and asked.work in _DECIDED_BY_THE_OWNER:
        yield _("nobody has answered")
    yield _ending(asked, is_done=bool(done), is_worked_on=bool(works))


def _works_since(asked: AskedBefore, *, reader: Reader) -> list[Work]:
    since = asked.last.issued_at.astimezone(reader.zone).date()
    return [work for work in asked.facts.snapshot.works if work.done_on >= since]


def _answer_since(asked: AskedBefore) -> Answered | None:
    said = (
        answer
        for answer in asked.facts.answers
        if answer.kind == asked.work and answer.at > asked.last.issued_at
    )
    return next(said, None)


def _planned(asked: AskedBefore) -> PlannedWork | None:
    return next((row for row in asked.facts.planned if row.kind == asked.work), None)


def _plan(planned: PlannedWork, *, reader: Reader) -> str:
    if planned.state == PlanState.ORDERED:
        text = _("ordered, not done yet")
    else:
        text = _("planned, not ordered yet")
    if planned.due_before_on is None:
        return text
    return _("%(state)s (before %(day)s)") % {
        "state": text,
        "day": reader.day(planned.due_before_on),
    }


def _ending(asked: AskedBefore, *, is_done: bool, is_worked_on: bool) -> str:
    """Return whether it is still asked for; what is not read is not at its end."""
    if _is_still_asked(asked):
        return _("asked for again") if is_done else _("still open")
    if is_done:
        return _("nothing asks for it now")
    about = asked.decision.asks
    if not about:
        # Its words alone may be of another language: nothing is said to be over.
        return _("of an earlier version: see what is asked for now")
    grades = {f.grade for f in asked.facts.findings if f.topic == about}
    if not grades or Grade.NOT_ASSESSED in grades:
        return _("not known any more: its check was not made")
    if is_worked_on:
        return _("nothing asks for it now")
    return _("no work was reported; by what was read since nothing asks for it now")


def _is_still_asked(asked: AskedBefore) -> bool:
    decision = asked.decision
    printed = [matter.printed for matter in asked.now]
    if decision.matter in {now.matter for now in printed}:
        return True
    courses = {words.topic(now.asks).decision for now in printed}
    if decision.matter in courses:
        return True
    if not decision.asks:
        return False
    if words.topic(decision.asks).decision in courses:
        return True
    if decision.asks in {now.asks for now in printed}:
        return True
    return decision.asks in {str(f.topic) for f in graded.urgent(asked.facts)}


def _stops(
    last: LastReport,
    known: Mapping[str, MachineRecord],
    ended: Sequence[Stop],
    *,
    reader: Reader,
) -> Iterator[AnswerLine]:
    """Yield what became of each machine that stood in the last report."""
    for block in last.content.out_of_service:
        code = block.code
        if code not in known:
            yield AnswerLine(
                text=_("%(machine)s: out of service – no longer in this report.")
                % {"machine": code},
                machines=(code,),
            )
            continue
        over = [stop for stop in ended if stop.machine.code == code]
        told = [_end(stop, reader=reader) for stop in over]
        if known[code].stops:
            told.append(_("still out of service"))
        yield AnswerLine(
            text=_("%(machine)s: out of service – %(became)s.")
            % {"machine": code, "became": "; ".join(told) or _("ended")},
            machines=(code,),
        )


def _end(stop: Stop, *, reader: Reader) -> str:
    return _("%(cause)s: ended on %(day)s (%(how)s)") % {
        "cause": stops.cause_of(stop),
        "day": reader.day(stop.released_at) if stop.released_at else "–",
        "how": _(str(stop.get_release_display())),
    }
