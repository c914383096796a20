"""One machine's pages: what it is, what was found, where it is heading."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections import condition
from inspections.models import Finding, Forecast, ForecastState, Grade
from reports import content
from reports.composition import (
    cautions,
    checks,
    curves,
    findings,
    groove_figure,
    least_set,
    matrices,
    photos,
    readings,
    set_figures,
    stops,
    words,
    worked_sheet,
)
from reports.composition.decided import options
from reports.composition.description import description
from reports.composition.reader import Reader
from reports.composition.rope_table import rope_table
from reports.queries import MachineRecord

MOST_CURVES = 3


def pages(
    facts: MachineRecord,
    *,
    reader: Reader,
    today: date,
    people: Mapping[int, str],
    sources: checks.Sources,
    most_photos: int = photos.MOST_A_MACHINE,
) -> content.MachinePages:
    """Return everything the report says of one machine.

    `people` are those who took the readings, by the id of their membership; `sources`
    are numbered through the document.
    """
    pictures = photos.of_machine(facts, most=most_photos, reader=reader, people=people)
    machine = facts.machine
    labels, tables = matrices.of_machine(facts, reader=reader, people=people)
    contradicted = stops.contradiction(facts, reader=reader)
    section = groove_figure.groove_section(
        facts.snapshot, reader=reader, rather=_groove_of_first(facts)
    )
    return content.MachinePages(
        code=machine.code,
        name=machine.name,
        place=machine.building.name,
        grade=content.PrintedGrade(grade_of(facts, today=today)),
        summary=summary(facts, reader=reader, today=today),
        description=description(facts.snapshot, reader=reader),
        findings=(
            *_raised_by(facts, reader=reader, today=today),
            *findings.listed(
                facts.findings, reader=reader, labels=labels, contradicted=contradicted
            ),
        ),
        groove_sections=(section,) if section else (),
        wear_curves=_curves(facts, reader=reader, today=today),
        rim=set_figures.rim_section(facts.findings, reader=reader),
        tensions=set_figures.tension_bars(facts.findings, reader=reader),
        rope_table=rope_table(facts.snapshot, reader=reader),
        not_assessed=(
            *least_set.rows(facts, reader=reader),
            *findings.not_assessed(facts.findings, reader=reader),
        ),
        readings=None,
        reading_matrices=tables,
        traction=worked_sheet.traction(facts, reader=reader),
        worked=worked_sheet.as_built(facts, reader=reader),
        photos=pictures,
        photos_note=photos.note(facts, len(pictures)),
        checks=checks.table(
            facts,
            title=f"{machine.code}  {machine.name}",
            reader=reader,
            sources=sources,
            contradicted=contradicted,
        ),
        options=options.options_of(facts, reader=reader),
        recommendation=options.recommendation(facts, reader=reader),
        options_cautions=options.cautions(facts, reader=reader),
    )


def _raised_by(
    facts: MachineRecord, *, reader: Reader, today: date
) -> tuple[content.PrintedFinding, ...]:
    """Return the limit ahead that a grade is from where no finding has that grade."""
    first = first_limit(facts)
    grade = grade_of(facts, today=today)
    if grade != Grade.PLAN_WORK or urgent(facts) or first is None:
        return ()
    due = first.plan_before_on
    when = reader.day(due) if due is not None and due > today else _("now")
    return (
        content.PrintedFinding(
            what=_("Limit ahead"),
            where=words.place(first.place) or _("machine"),
            grade=content.PrintedGrade.PLAN_WORK,
            value=_("plan work before: %(day)s") % {"day": when},
            limit=words.case(first.limit_reason or "wear"),
            margin="–",
            meaning=_ahead(first, reader=reader, today=today),
            criterion=_("a limit that is reached within two years"),
            source=_("forecast of this program"),
            how_sure=words.said(str(ForecastState(first.state).label)),
            readings=(),
        ),
    )


def urgent(facts: MachineRecord) -> list[Finding]:
    """Return the findings that ask for work, most urgent first."""
    asking = [f for f in facts.findings if f.grade in (Grade.ACT_NOW, Grade.PLAN_WORK)]
    return sorted(asking, key=lambda f: (findings.ORDER[Grade(f.grade)], f.pk))


def past(facts: MachineRecord) -> list[Finding]:
    """Return the findings beyond a limit, those to act on first."""
    found = [
        f
        for f in facts.findings
        if findings.is_past(f) and not findings.is_within_scatter(f)
    ]
    return sorted(found, key=lambda f: (findings.ORDER[Grade(f.grade)], f.pk))


def within_scatter(facts: MachineRecord) -> list[Finding]:
    """Return the findings beyond a limit by less than their gauges can tell."""
    return [f for f in facts.findings if findings.is_within_scatter(f)]


def first_limit(facts: MachineRecord) -> Forecast | None:
    """Return the forecast whose planning date comes first."""
    return condition.first_limit(facts.forecasts)


def grade_of(facts: MachineRecord, *, today: date) -> str:
    """Return the machine's grade by findings, forecasts and what stops it."""
    if facts.stops:
        return Grade.ACT_NOW
    return condition.grade_of(
        assessment=facts.assessment, forecasts=facts.forecasts, today=today
    )


def summary(facts: MachineRecord, *, reader: Reader, today: date) -> str:
    """Return the machine in a few plain sentences."""
    found = urgent(facts)
    made = [f for f in facts.findings if f.grade != Grade.NOT_ASSESSED]
    parts = []
    if facts.stops:
        code = facts.machine.code
        parts.append(stops.headline([code], named=code))
    if found:
        topics = dict.fromkeys(words.topic(f.topic).what for f in found)
        parts.append(_("To be decided: %(topics)s.") % {"topics": "; ".join(topics)})
        parts.append(words.meaning(found[0], reader=reader))
        if any(f.stops_service for f in found) or facts.stops:
            parts.append(cautions.stop())
    elif past(facts):
        topics = dict.fromkeys(words.topic(f.topic).what for f in past(facts))
        parts.append(_("Beyond a limit: %(topics)s.") % {"topics": "; ".join(topics)})
    elif facts.stops:
        parts.append(cautions.stop())
    elif made and least_set.is_little_known(facts):
        parts.append(
            _("Little is known: %(unmade)s.")
            % {"unmade": least_set.little_known(facts)}
        )
        parts.append(_("In what was read nothing lies beyond a limit."))
    elif made and not within_scatter(facts):
        parts.append(_("No reading lies beyond a limit of the criteria set."))
    elif not made:
        parts.append(_("Too little is known of this machine to assess it."))
    parts += _by_scatter(facts)
    if made and least_set.is_traction_open(facts):
        parts.append(_("Traction was not assessed."))
    if facts.held:
        parts.append(_held(facts))
    if told := "; ".join(least_set.missed(facts, reader=reader)):
        parts.append(_("Not known without: %(checks)s.") % {"checks": told})
    if not facts.stops:
        parts.append(_in_order(made))
    parts.append(_first_limit(facts, reader=reader, today=today))
    parts.append(
        ngettext(
            "%(made)s of %(all)s check was made.",
            "%(made)s of %(all)s checks were made.",
            len(facts.findings),
        )
        % {"made": len(made), "all": len(facts.findings)}
    )
    return " ".join(part for part in parts if part)


def _held(facts: MachineRecord) -> str:
    """Return what was read and is not used, in a sentence."""
    named = "; ".join(
        f"{words.kind(one.kind)}, {readings.place_of(one)}: "
        f"{readings.typed(one)} ({readings.label(one)})"
        for one in facts.held
    )
    text = _("Held back and not used until somebody confirms it: %(readings)s.")
    return text % {"readings": named}


def _by_scatter(facts: MachineRecord) -> list[str]:
    """Return what lies beyond a limit by less than its gauge can tell."""
    topics = dict.fromkeys(words.topic(f.topic).what for f in within_scatter(facts))
    if not topics:
        return []
    text = _("Beyond a limit by less than the gauge can tell: %(topics)s.")
    return [text % {"topics": "; ".join(topics)}]


def _in_order(made: list[Finding]) -> str:
    """Return in how many matters nothing was found; each stands in the appendix."""
    loud = {f.topic for f in made if f.grade != Grade.IN_ORDER or findings.is_past(f)}
    quiet = {f.topic for f in made} - loud
    if not quiet:
        return ""
    return ngettext(
        "In %(count)s other matter nothing was found in the checks made.",
        "In %(count)s other matters nothing was found in the checks made.",
        len(quiet),
    ) % {"count": len(quiet)}


def _first_limit(facts: MachineRecord, *, reader: Reader, today: date) -> str:
    first = first_limit(facts)
    if first is None:
        return ""
    ahead = _ahead(first, reader=reader, today=today)
    due = first.plan_before_on
    if due is None or due > today + condition.PLAN_AHEAD:
        return ahead
    if due <= today:
        now = _("Work on it is to be planned now.")
        return f"{ahead} {now}"
    planned = _("Work on it is to be planned before %(day)s.") % {
        "day": reader.day(due)
    }
    return f"{ahead} {planned}"


def _ahead(first: Forecast, *, reader: Reader, today: date) -> str:
    """Return which limit comes first, and when where no question keeps that back."""
    where = f" ({words.place(first.place)})" if first.place else ""
    limit = words.case(first.limit_reason or "wear") + where
    if first.p10_on is None:
        return _("First limit ahead: %(limit)s.") % {"limit": limit}
    return _(
        "First limit ahead: %(limit)s; about 1 chance in 10 that it comes before "
        "%(day)s."
    ) % {"limit": limit, "day": reader.roughly(first.p10_on, today=today)}


def _groove_of_first(facts: MachineRecord) -> int | None:
    """Return the groove whose wear leads to the limit that comes first."""
    seats = [f for f in facts.forecasts if f.quantity == "seat_depth"]
    first = condition.first_limit(seats)
    return first.groove.number if first is not None and first.groove else None


def _curves(
    facts: MachineRecord, *, reader: Reader, today: date
) -> tuple[content.WearCurve, ...]:
    """Return each worn quantity's curve, where its limit is reached first."""
    forecasts = {(f.quantity, f.place): f for f in facts.forecasts}
    events = tuple(
        (work.done_on, words.said(str(work.get_kind_display())))
        for work in facts.snapshot.works
    )
    best: dict[str, tuple[date, content.WearCurve]] = {}
    for series in facts.series:
        forecast = forecasts.get((series.quantity, series.place))
        drawn = curves.curve(
            series, forecast, reader=reader, today=today, events=events
        )
        if drawn is None:
            continue
        due = (forecast.plan_before_on if forecast else None) or date.max
        if series.quantity not in best or due < best[series.quantity][0]:
            best[series.quantity] = (due, drawn)
    # What is due first is drawn first: page one's date and this curve are one.
    ordered = sorted(best.values(), key=lambda found: found[0])
    return tuple(drawn for _due, drawn in ordered)[:MOST_CURVES]
