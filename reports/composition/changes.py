"""What changed since the last report on the same place."""

from collections.abc import Iterator, Mapping, Sequence, Set
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from inspections.models import Cause
from reports import content, queries
from reports.composition import graded, words
from reports.composition.lines import AnswerLine
from reports.composition.previous import LastReport
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord

MOST_LINES = 12


def state(
    *, report: Report, facts: Sequence[MachineRecord], reader: Reader, today: date
) -> tuple[AnswerLine, ...]:
    """Return of which day the report is, and what came in during its period.

    Findings of the period's end would hide what is known since; a reader who acts on
    them could be hurt.
    """
    as_of = _(
        "Findings and dates are what was known on %(day)s, the day this was made; the "
        "period only says what is counted here:"
    ) % {"day": reader.day(today)}
    counted = [
        r
        for one in facts
        for r in one.snapshot.readings
        if _is_within(report, r.taken_at.astimezone(reader.zone).date())
    ]
    visits = len({r.visit_id for r in counted})
    works = [
        _("%(machine)s: %(work)s on %(day)s.") % _said_of(one, work, reader)
        for one in facts
        for work in one.snapshot.works
        if _is_within(report, work.done_on)
    ]
    of_visits = ngettext("%(count)s visit", "%(count)s visits", visits) % {
        "count": visits
    }
    read = ngettext(
        "%(count)s reading of %(visits)s",
        "%(count)s readings of %(visits)s",
        len(counted),
    ) % {"count": len(counted), "visits": of_visits}
    if len(works) > MOST_LINES:
        works = [*works[:MOST_LINES], "…"]
    done = " ".join(works) if works else _("no work was reported.")
    told = AnswerLine(text=f"{as_of} {read}; {done}")
    quiet = list(_without_visit(report, facts, reader=reader))
    if not quiet:
        return (told,)
    # What was in order a year ago may not be so today.
    none = _("No visit in this period; newest reading: %(machines)s.")
    return told, AnswerLine(text=none % {"machines": ", ".join(quiet)})


def _without_visit(
    report: Report, facts: Sequence[MachineRecord], *, reader: Reader
) -> Iterator[str]:
    """Yield the machines that nobody read in the period, with their newest reading."""
    for one in facts:
        taken = [
            r.taken_at.astimezone(reader.zone).date() for r in one.snapshot.readings
        ]
        if not any(_is_within(report, day) for day in taken):
            newest = reader.day(max(taken)) if taken else _("never")
            yield f"{one.machine.code} ({newest})"


def _is_within(report: Report, day: date) -> bool:
    return bool(report.period_start <= day < report.period_end)


def _said_of(facts: MachineRecord, work: Work, reader: Reader) -> dict[str, str]:
    return {
        "machine": facts.machine.code,
        "work": words.said(str(work.get_kind_display())),
        "day": reader.day(work.done_on),
    }


def changes(
    *,
    scope: Scope,
    last: LastReport | None,
    facts: Sequence[MachineRecord],
    reader: Reader,
    today: date,
) -> tuple[AnswerLine, ...]:
    """Return the changes, in whole sentences; that there are none, where so."""
    if last is None:
        return (AnswerLine(text=_("This is the first report on this place.")),)
    since = last.issued_at.astimezone(reader.zone).date()
    first = _("Since report %(number)s of %(day)s:") % {
        "number": last.number,
        "day": reader.day(since),
    }
    causes = queries.causes_since(
        scope=scope,
        machine_ids=[one.machine.pk for one in facts],
        since=last.issued_at,
    )
    lines = list(
        _lines(last.content, facts, causes, since=since, reader=reader, today=today)
    )
    if len(lines) > MOST_LINES:
        more = _("and %(count)s changes more, on the machine pages.")
        rest = {"count": len(lines) - MOST_LINES}
        lines = [*lines[:MOST_LINES], AnswerLine(text=more % rest)]
    none = _("no grade has changed and no work was reported.")
    return (AnswerLine(text=first), *(lines or [AnswerLine(text=none)]))


def _lines(
    frozen: content.ConditionReport,
    facts: Sequence[MachineRecord],
    causes: Mapping[int, Set[str]],
    *,
    since: date,
    reader: Reader,
    today: date,
) -> Iterator[AnswerLine]:
    before = {page.code: page for page in frozen.machines}
    for one in facts:
        code = one.machine.code
        was = before.pop(code, None)
        if was is None:
            added = _("%(machine)s was added.") % {"machine": code}
            yield AnswerLine(text=added, machines=(code,))
            continue
        now = content.PrintedGrade(graded.grade_of(one, today=today))
        grades = None if was.grade == now else (was.grade, now)
        judged = _judged(one, grades, causes.get(one.machine.pk, frozenset()))
        done = _since(one, since=since, reader=reader)
        yield from (
            AnswerLine(text=text, machines=(code,)) for text in (*judged, *done)
        )
    for code in before:
        gone = _("%(machine)s is no longer in this report.") % {"machine": code}
        yield AnswerLine(text=gone, machines=(code,))


def _judged(
    facts: MachineRecord,
    grades: tuple[content.PrintedGrade, content.PrintedGrade] | None,
    causes: Set[str],
) -> Iterator[str]:
    """Yield another grade, and whether corrected rules are behind what is said now.

    Where the rules say what they said, no assessment is stored: a cause is a change.
    """
    code, assessment = facts.machine.code, facts.assessment
    by_rules = bool(causes & {Cause.RULES, Cause.BOTH})
    if grades is None:
        if by_rules:
            yield _(
                "%(machine)s: some findings differ because rules or limits of this "
                "program were corrected; the grade is the same."
            ) % {"machine": code}
        return
    said = {
        "machine": code,
        "before": wording().of_grade(grades[0]),
        "now": wording().of_grade(grades[1]),
    }
    # A date that came near raises a grade too, and no rule is behind that.
    is_found = assessment is not None and assessment.grade == grades[1]
    if causes == {Cause.RULES} and is_found:
        yield (
            _(
                "%(machine)s: %(before)s → %(now)s. The rules changed, not the "
                "machine: rules or limits of this program were corrected."
            )
            % said
        )
    elif by_rules:
        yield (
            _(
                "%(machine)s: %(before)s → %(now)s. Rules or limits of this program "
                "were corrected, and readings, register or dates changed too."
            )
            % said
        )
    else:
        yield _("%(machine)s: %(before)s → %(now)s.") % said


def _since(facts: MachineRecord, *, since: date, reader: Reader) -> Iterator[str]:
    """Yield the work done and the readings taken after a day."""
    code = facts.machine.code
    for work in facts.snapshot.works:
        if work.done_on >= since:
            yield _("%(machine)s: %(work)s on %(day)s.") % _said_of(facts, work, reader)
    new = [
        r
        for r in facts.snapshot.readings
        if r.taken_at.astimezone(reader.zone).date() > since
    ]
    if new:
        yield ngettext(
            "%(machine)s: %(count)s new reading, the last of %(day)s.",
            "%(machine)s: %(count)s new readings, the last of %(day)s.",
            len(new),
        ) % {
            "machine": code,
            "count": len(new),
            "day": reader.day(max(r.taken_at for r in new)),
        }
