"""One machine's pages: what it is, what was found, where it is heading."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from inspections import condition
from inspections.models import ForecastState, Grade
from reports import content
from reports.composition import (
    checks,
    curves,
    findings,
    graded,
    groove_figure,
    in_brief,
    least_set,
    matrices,
    photos,
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
        grade=content.PrintedGrade(graded.grade_of(facts, today=today)),
        summary=in_brief.summary(facts, reader=reader, today=today),
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
    first = graded.first_limit(facts)
    grade = graded.grade_of(facts, today=today)
    if grade != Grade.PLAN_WORK or graded.urgent(facts) or first is None:
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
            meaning=in_brief.ahead(first, reader=reader, today=today),
            criterion=_("a limit that is reached within two years"),
            source=_("forecast of this program"),
            how_sure=words.said(str(ForecastState(first.state).label)),
            readings=(),
        ),
    )


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
