"""The portfolio review: what is late, what is open, how good the forecasts were."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.platform.database.tenancy import Scope
from inspections.models import Finding
from reports import content, queries, review
from reports.composition import (
    budget,
    calls,
    due,
    lines,
    stops,
    strip,
)
from reports.composition import portfolio_tables as tables
from reports.composition.long_tables import MOST_ROWS, and_more
from reports.composition.masthead import form_version, masthead, place_of, reader_of
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.models import Report
from reports.review import ForecastRecord, MachineStanding


def portfolio_review(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.PortfolioReview:
    """Return the review of all machines; a constant number of queries.

    Only the budget reads the machines some at a time, which bounds its memory.
    """
    reader = reader_of(report, [])
    today = issued_at.astimezone(reader.zone).date()
    overdue = review.overdue(scope=scope, today=today)
    found = review.open_findings(scope=scope)
    standings = review.standings(scope=scope, today=today)
    scores = review.forecast_scores(
        scope=scope, period=(report.period_start, report.period_end)
    )
    standing = review.open_stops(scope=scope)
    told = queries.people_of_stops(scope=scope, stops=standing)
    blocks = stops.of_stops(
        standing, reader=reader, people=told, call=calls.sentence(report.contractor)
    )
    gaps, machines = review.gaps_count(scope=scope), review.machines_count(scope=scope)
    expected = budget.of_portfolio(scope=scope, reader=reader, now=issued_at)
    return content.PortfolioReview(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Portfolio review"),
            title=_("All machines of %(contractor)s")
            % {"contractor": report.contractor.name},
            place=place_of(report, []),
            versions=(form_version(),),
        ),
        wording=wording(),
        headline=_headline(
            len(overdue),
            found,
            [one.code for one in blocks],
            standings,
            review.late_orders(scope=scope, today=today),
            today=today,
        ),
        figures=_figures(
            machines, len(overdue), found, gaps, scores, len(blocks), reader=reader
        ),
        strip=_strip(standings, found, reader=reader, today=today),
        overdue=tables.overdue(overdue, reader=reader),
        open_findings=tables.open_findings(found, reader=reader),
        forecast_record=tables.forecast_record(scores),
        forecast_remarks=tables.forecast_remarks(scores, reader=reader),
        worklist=due.worklist(scope=scope, reader=reader, today=today),
        by_building=due.by_building(scope=scope, reader=reader),
        by_part=due.by_part(scope=scope, reader=reader),
        budget=expected.table,
        budget_remarks=expected.remarks,
        out_of_service=blocks[:MOST_ROWS],
        more_out_of_service=and_more(len(blocks)),
    )


def _headline(
    late: int,
    found: Sequence[Finding],
    stopped: Sequence[str],
    standings: Sequence[MachineStanding],
    orders: Sequence[tuple[str, date]],
    *,
    today: date,
) -> str:
    """Return what the pages behind it say: stops, grades, orders, visits, findings."""
    parts = []
    if stopped:
        parts.append(stops.headline(stopped, named=lines.some(stopped)))
    parts += [*_grades(standings), *_late(orders, today=today)]
    first = ngettext(
        "%(count)s machine is overdue for measuring,",
        "%(count)s machines are overdue for measuring,",
        late,
    ) % {"count": late}
    second = ngettext(
        "%(count)s finding is open.", "%(count)s findings are open.", len(found)
    ) % {"count": len(found)}
    return " ".join((*parts, first, second))


def _grades(standings: Sequence[MachineStanding]) -> Iterator[str]:
    """Yield how many machines have which grade, the most urgent first."""
    counts = Counter(one.grade for one in standings)
    named = [
        f"{counts[grade]} {wording().of_grade(content.PrintedGrade(grade))}"
        for grade in counts
    ]
    if named:
        yield ngettext(
            "%(count)s machine: %(grades)s.",
            "%(count)s machines: %(grades)s.",
            len(standings),
        ) % {"count": len(standings), "grades": ", ".join(named)}


def _late(orders: Sequence[tuple[str, date]], *, today: date) -> Iterator[str]:
    if orders:
        code, day = orders[0]
        yield ngettext(
            "%(count)s day to order by has passed: %(machine)s, %(days)s days ago.",
            "%(count)s days to order by have passed, the first (%(machine)s) %(days)s "
            "days ago.",
            len(orders),
        ) % {"count": len(orders), "machine": code, "days": (today - day).days}


def _figures(
    machines: int,
    late: int,
    found: Sequence[Finding],
    gaps: int,
    scores: Sequence[ForecastRecord],
    stopped: int,
    *,
    reader: Reader,
) -> tuple[content.Row, ...]:
    tried = sum(score.judged for score in scores)
    inside = sum(score.hits for score in scores)
    share = f"{round(100 * inside / tried)} %" if tried else "–"
    pairs = (
        (_("machines not out of service"), machines - stopped),
        (_("overdue for measuring"), late),
        (_("open findings"), len(found)),
        (_("machines out of service"), stopped),
        (_("checks not made"), gaps),
    )
    return (
        *(content.Row(label=label, value=str(value)) for label, value in pairs),
        content.Row(
            label=_("limits reached within the band of the forecast"), value=share
        ),
    )


def _strip(
    standings: Sequence[MachineStanding],
    found: Sequence[Finding],
    *,
    reader: Reader,
    today: date,
) -> content.PortfolioStrip | None:
    """Return the machines that are due first, and what is passed, on one axis."""
    urgent: dict[str, list[Finding]] = {}
    for finding in found:
        urgent.setdefault(finding.machine.code, []).append(finding)
    rows = [
        strip.row(
            label=f"{one.code} {one.name}",
            grade=one.grade,
            first=one.first,
            urgent=urgent.get(one.code, ()),
            today=today,
        )
        for one in standings[:MOST_ROWS]
    ]
    return strip.drawn(rows, reader=reader, today=today)
