"""The tables of the portfolio review: what is late, what is open, forecasts judged."""

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Finding
from reports import content
from reports.composition import findings, reasons, words
from reports.composition.long_tables import MOST_ROWS, and_more
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.review import ForecastRecord, Overdue


def overdue(late: Sequence[Overdue], *, reader: Reader) -> content.Table:
    """Return the machines that are overdue, as many as are shown."""
    return content.Table(
        title=_("Overdue for measuring"),
        columns=(
            content.Column(heading=_("Machine"), share=2.0),
            content.Column(heading=_("Building"), share=1.6),
            content.Column(heading=_("Last visit")),
            content.Column(heading=_("Due")),
            content.Column(heading=_("Late by"), align=content.Align.RIGHT, share=0.8),
        ),
        rows=tuple(
            (
                f"{one.code} {one.name}",
                one.building,
                reader.day(one.last_on) if one.last_on else _("never"),
                reader.day(one.due_on),
                ngettext("%(count)s day", "%(count)s days", one.late_days)
                % {"count": one.late_days},
            )
            for one in late[:MOST_ROWS]
        ),
        note=and_more(len(late)),
    )


def _with_chance(what: str, finding: Finding) -> str:
    """Return a finding's name, and by how much it may be beyond where it is open."""
    if not finding.is_open:
        return what
    if finding.chance_beyond is None:
        return _("%(what)s (open)") % {"what": what}
    percent = max(round(100.0 * finding.chance_beyond), 1)
    return _("%(what)s (open: beyond by %(percent)s chances in 100)") % {
        "what": what,
        "percent": percent,
    }


def open_findings(found: Sequence[Finding], *, reader: Reader) -> content.Table:
    """Return the open findings, as many as are shown."""
    rows = []
    for finding in found[:MOST_ROWS]:
        shown = findings.figures(finding, reader=reader)
        what = words.topic(finding.topic).what
        place = words.place(finding.place)
        rows.append(
            (
                finding.machine.code,
                _with_chance(f"{what}: {place}" if place else what, finding),
                shown["value"],
                shown["limit"],
                wording().of_grade(content.PrintedGrade(finding.grade)),
                _("yes") if finding.stops_service else "",
            )
        )
    return content.Table(
        title=_("Open findings"),
        columns=(
            content.Column(heading=_("Machine"), share=1.2),
            content.Column(heading=_("Finding"), share=2.6),
            content.Column(heading=_("Read or calculated"), share=1.2),
            content.Column(heading=_("Limit")),
            content.Column(heading=_("Grade")),
            content.Column(heading=_("Stops service"), share=0.7),
        ),
        rows=tuple(rows),
        note=and_more(len(found)),
    )


def forecast_record(scores: Sequence[ForecastRecord]) -> content.Table:
    """Return hits and misses of the forecasts by kind of wear."""
    right = content.Align.RIGHT
    return content.Table(
        title=_("How good the forecasts were"),
        columns=(
            content.Column(heading=_("Kind of wear"), share=1.8),
            content.Column(heading=_("Judged in the period"), align=right),
            content.Column(heading=_("Reached within the band"), align=right),
            content.Column(heading=_("Expected (80 %)"), align=right),
            content.Column(heading=_("Reached earlier"), align=right),
            content.Column(heading=_("Reached later"), align=right),
        ),
        rows=tuple(
            (
                words.said(score.class_name),
                str(score.judged),
                str(score.hits),
                str(round(0.8 * score.judged)),
                str(score.early),
                str(score.late),
            )
            for score in scores
        ),
        note=_(
            "A forecast is judged when its limit is reached, or when its "
            "latest date has passed. Earlier is the unsafe side."
        ),
    )


def forecast_remarks(
    scores: Sequence[ForecastRecord], *, reader: Reader
) -> tuple[str, ...]:
    """Return what is to be said beside that record."""
    if not scores:
        return (_("No forecast came to its end in this period."),)
    return tuple(
        f"{words.said(score.class_name)}: {reasons.say(score.record, reader=reader)}."
        for score in scores
        if score.record is not None
    )
