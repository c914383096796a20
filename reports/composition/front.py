"""Page one: what an owner asks, answered in plain words."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Finding, Grade
from reports import content
from reports.composition import (
    decisions,
    graded,
    least_set,
    lines,
    standing,
    stops,
    words,
)
from reports.composition.decided import advice
from reports.composition.decisions import PrintedMatter
from reports.composition.lifts import lifts, next_visit
from reports.composition.lines import MOST_LINES, AnswerLine, some
from reports.composition.reader import Reader
from reports.composition.strip import strip
from reports.composition.wording import wording
from reports.queries import MachineRecord

Located = tuple[MachineRecord, Finding]


def summary(
    facts: Sequence[MachineRecord],
    *,
    reader: Reader,
    today: date,
    matters: Mapping[str, Sequence[PrintedMatter]],
    changes: tuple[AnswerLine, ...],
    followed: tuple[AnswerLine, ...],
    call: str,
    tried: tuple[AnswerLine, ...] = (),
) -> content.Summary:
    """Return page one; `call` is whom to answer, `matters` what each machine asks.

    `followed` is what became of what the last report asked for, `tried` which changes
    were calculated and not made.
    """
    past = [(f, finding) for f in facts for finding in graded.past(f)]
    doubtful = [(f, one) for f in facts for one in graded.within_scatter(f)]
    open_checks = _open_checks(facts)
    checks = sum(len(f.findings) for f in facts)
    undecided = [
        one
        for code, found in matters.items()
        for one in decisions.undecided(code, found)
    ]
    whole = [matter for found in matters.values() for matter in found]
    whole.sort(key=lambda one: not one.is_now)
    decided = [matter.printed for matter in whole]
    to_decide = _to_decide(decided, facts, reader=reader, today=today)
    may_cost = advice.may_cost(facts, undecided=undecided, reader=reader)
    return content.Summary(
        headline=_headline(facts, past, doubtful, open_checks, checks),
        answers=_answers(
            (_("What must be decided, and by when?"), lines.plain(to_decide)),
            (_("What may it cost?"), lines.plain(may_cost)),
            (
                _("Was anything found beyond a limit?"),
                _beyond(past, doubtful, facts),
            ),
            (
                _("Which checks were not made?"),
                (
                    *_too_old(facts, reader=reader),
                    *_not_made(open_checks, checks, facts),
                ),
            ),
            *_if_any(_("What became of what the last report asked for?"), followed),
            (_("What changed since the last report?"), lines.together(changes)),
            *_if_any(_("Was a change tried on paper?"), tried),
        ),
        decisions=tuple(decided),
        total=decisions.total(facts, matters, undecided),
        strip=strip(facts, reader=reader, today=today),
        lifts=lifts(facts, reader=reader, today=today),
        provisional=standing.provisional(facts),
        call=_("Questions and answers to %(call)s.") % {"call": call},
        next_visit=next_visit(facts, reader=reader, today=today),
    )


def _open_checks(facts: Sequence[MachineRecord]) -> list[Located]:
    return [
        (f, finding)
        for f in facts
        for finding in f.findings
        if finding.grade == Grade.NOT_ASSESSED
    ]


def _answers(
    *each: tuple[str, Iterable[AnswerLine]],
) -> tuple[content.AnsweredQuestion, ...]:
    return tuple(lines.answer(question=question, lines=told) for question, told in each)


def _if_any(
    question: str, told: tuple[AnswerLine, ...]
) -> Iterator[tuple[str, tuple[AnswerLine, ...]]]:
    if told:
        yield question, told


def _headline(
    facts: Sequence[MachineRecord],
    past: Sequence[Located],
    doubtful: Sequence[Located],
    open_checks: Sequence[Located],
    checks: int,
) -> str:
    if not facts:
        return _("No machine of this place was in service.")
    parts = []
    stopped = [f.machine.code for f in facts if f.stops]
    if stopped:
        parts.append(stops.headline(stopped, named=some(stopped)))
    if past:
        codes = list(dict.fromkeys(f.machine.code for f, _finding in past))
        parts.append(_("Beyond a limit: %(machines)s.") % {"machines": some(codes)})
    elif not stopped and not doubtful:
        parts.append(_("No reading lies beyond a limit of the criteria set."))
    if doubtful:
        codes = list(dict.fromkeys(f.machine.code for f, _finding in doubtful))
        text = _("Beyond a limit by less than the gauge can tell: %(machines)s.")
        parts.append(text % {"machines": some(codes)})
    unknown = [f.machine.code for f in facts if least_set.is_traction_open(f)]
    if unknown:
        traction = _("Traction was not assessed on %(machines)s.")
        parts.append(traction % {"machines": some(unknown)})
    late = [f.machine.code for f in facts if least_set.is_incomplete(f)]
    if late:
        old = _("Not known for a check that was not made in time: %(machines)s.")
        parts.append(old % {"machines": some(late)})
    second = ngettext(
        "%(made)s of %(all)s checks were made on %(count)s machine.",
        "%(made)s of %(all)s checks were made on %(count)s machines.",
        len(facts),
    ) % {"made": checks - len(open_checks), "all": checks, "count": len(facts)}
    return " ".join((*parts, second))


def _past(
    past: Sequence[Located], facts: Sequence[MachineRecord]
) -> tuple[AnswerLine, ...]:
    stopped = [f.machine.code for f in facts if f.stops]
    if not past and stopped:
        text = _("What keeps %(machines)s out of service stands above.")
        return (AnswerLine(text=text % {"machines": some(stopped)}),)
    if not past:
        text = _("No reading lies beyond a limit of the set applied (%(machines)s).")
        codes = [f.machine.code for f in facts]
        return (AnswerLine(text=text % {"machines": some(codes) or "–"}),)
    found: dict[tuple[str, str, str], list[str]] = {}
    for f, finding in past:
        what = words.topic(finding.topic).what
        key = (f.machine.code, what, str(finding.grade))
        found.setdefault(key, []).append(words.place(finding.place))
    told = _shortened(
        [
            AnswerLine(
                text=f"{code}: {what}{_places(places)}; {_grade(grade)}.",
                machines=(code,),
            )
            for (code, what, grade), places in found.items()
        ]
    )
    if all(grade == Grade.ACT_NOW for _code, _what, grade in found):
        return told
    text = _(
        "Not every limit is one of safety: beyond some the machine is monitored or "
        "work is planned. The grade says which."
    )
    return (*told, AnswerLine(text=text))


def _beyond(
    past: Sequence[Located],
    doubtful: Sequence[Located],
    facts: Sequence[MachineRecord],
) -> tuple[AnswerLine, ...]:
    """Return what lies beyond a limit; that nothing does only where nothing may."""
    told = _doubtful(doubtful)
    if told and not past and not any(f.stops for f in facts):
        return told
    return (*_past(past, facts), *told)


def _doubtful(found: Sequence[Located]) -> tuple[AnswerLine, ...]:
    """Return what is beyond a limit by so little that it has to be read again."""
    named: dict[tuple[str, str], list[str]] = {}
    for f, finding in found:
        key = (f.machine.code, words.topic(finding.topic).what)
        named.setdefault(key, []).append(words.place(finding.place))
    return _shortened(
        [
            AnswerLine(
                text=_("%(machine)s: %(what)s; beyond by less than the gauge can tell.")
                % {"machine": code, "what": f"{what}{_places(places)}"},
                machines=(code,),
            )
            for (code, what), places in named.items()
        ]
    )


def _too_old(
    facts: Sequence[MachineRecord], *, reader: Reader
) -> tuple[AnswerLine, ...]:
    """Return the checks for which a state is not known; they stand before all."""
    return _shortened(
        [
            AnswerLine(text=f"{f.machine.code}: {told}.", machines=(f.machine.code,))
            for f in facts
            if (told := "; ".join(least_set.missed(f, reader=reader)))
        ]
    )


def _grade(grade: str) -> str:
    return wording().of_grade(content.PrintedGrade(grade))


def _places(places: Sequence[str]) -> str:
    named = list(dict.fromkeys(place for place in places if place))
    return f" ({some(named)})" if named else ""


def _not_made(
    open_checks: Sequence[Located], checks: int, facts: Sequence[MachineRecord]
) -> tuple[AnswerLine, ...]:
    never = [f.machine.code for f in facts if f.assessment is None]
    told = []
    if never:
        text = _("Not assessed at all: %(machines)s.") % {"machines": some(never)}
        told.append(AnswerLine(text=text))
    if not open_checks:
        every = ngettext(
            "The one check was made.", "All %(count)s checks were made.", checks
        )
        return (*told, *lines.plain([every % {"count": checks}] if checks else ()))
    by_machine: dict[str, list[str]] = {}
    for f, finding in open_checks:
        by_machine.setdefault(f.machine.code, []).append(
            words.topic(finding.topic).what
        )
    told += [
        AnswerLine(
            text=f"{code}: {'; '.join(dict.fromkeys(topics))}.", machines=(code,)
        )
        for code, topics in by_machine.items()
    ]
    first = _(
        "%(open)s of %(all)s; a check that was not made says nothing of the machine."
    ) % {"open": len(open_checks), "all": checks}
    return (AnswerLine(text=first), *_shortened(list(lines.together(told))))


def _shortened(told: list[AnswerLine]) -> tuple[AnswerLine, ...]:
    if len(told) <= MOST_LINES:
        return tuple(told)
    rest = len(told) - MOST_LINES
    more = ngettext(
        "%(count)s more line stands on the machine pages.",
        "%(count)s more lines stand on the machine pages.",
        rest,
    )
    return (*told[:MOST_LINES], AnswerLine(text=more % {"count": rest}))


def _to_decide(
    decided: Sequence[content.Decision],
    facts: Sequence[MachineRecord],
    *,
    reader: Reader,
    today: date,
) -> tuple[str, ...]:
    ordering = advice.first_order(facts, reader=reader, today=today)
    rest = (ordering,) if ordering else ()
    if not decided:
        return (_("Nothing within the next two years by today's readings."), *rest)
    told = ngettext(
        "One matter; see the table above.",
        "%(count)s matters; see the table above.",
        len(decided),
    ) % {"count": len(decided)}
    return (told, *rest)
