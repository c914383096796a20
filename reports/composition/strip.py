"""All machines on one time axis: when each may reach its first limit."""

from collections.abc import Sequence
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Finding, Forecast
from reports import content
from reports.composition import findings, graded, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

_BEFORE, _AHEAD = timedelta(days=90), timedelta(days=3650)
_END = float((_BEFORE + _AHEAD).days)


def strip(
    facts: Sequence[MachineRecord], *, reader: Reader, today: date
) -> content.PortfolioStrip | None:
    """Return all machines of a place on one time axis; None without machines."""
    rows = [
        row(
            label=f"{one.machine.code} {one.machine.name}",
            grade=graded.grade_of(one, today=today),
            first=graded.first_limit(one),
            urgent=graded.urgent(one),
            today=today,
        )
        for one in sorted(facts, key=lambda one: not one.stops)
    ]
    return drawn(rows, reader=reader, today=today)


def row(
    *,
    label: str,
    grade: str,
    first: Forecast | None,
    urgent: Sequence[Finding],
    today: date,
) -> content.StripRow:
    """Return one machine's line."""
    days = (first.p10_on, first.p50_on, first.p90_on) if first else (None,) * 3
    low, median, high = (_x(day, today=today) for day in days)
    if low is not None and high is None:
        # No late date is later than any date that can be given.
        high = _END
    past = next((f for f in urgent if findings.is_past(f)), None)
    return content.StripRow(
        label=label,
        grade=content.PrintedGrade(grade),
        low=low,
        median=median if low is not None else None,
        high=high if low is not None else None,
        note=_note(first, low=low),
        beyond=words.topic(past.topic).what if past else "",
    )


def drawn(
    rows: Sequence[content.StripRow], *, reader: Reader, today: date
) -> content.PortfolioStrip | None:
    """Return the strip of some lines, most urgent first; None without lines."""
    if not rows:
        return None
    start, end = today - _BEFORE, today + _AHEAD
    years = content.axes.year_starts(first=start, last=end, at_most=11)
    order = {content.PrintedGrade(grade): n for grade, n in findings.ORDER.items()}
    return content.PortfolioStrip(
        title=_("When each machine may reach its first limit"),
        time_axis=content.ChartAxis(
            label="",
            low=0.0,
            high=float((end - start).days),
            ticks=tuple(
                content.AxisTick(
                    position=float((day - start).days), label=str(day.year)
                )
                for day in years
            ),
        ),
        today=content.AxisTick(position=float(_BEFORE.days), label=reader.day(today)),
        rows=tuple(sorted(rows, key=lambda one: order[one.grade])),
        caption=_caption(rows),
        description=ngettext(
            "%(count)s machine on a time axis of ten years.",
            "%(count)s machines on a time axis of ten years.",
            len(rows),
        )
        % {"count": len(rows)},
    )


def _caption(rows: Sequence[content.StripRow]) -> str:
    """Return how to read it; a name that a row has no room for stands here whole."""
    text = _(
        "The bar spans 80 % of forecasts of the limit it names; the tick is the "
        "median; what lies beyond ten years is cut off. A black square at today: "
        "a reading lies beyond the limit named there."
    )
    beyond = [f"{row.label}: {row.beyond}" for row in rows if row.beyond]
    if not beyond:
        return text
    return f"{text} " + _("Beyond today: %(names)s.") % {"names": "; ".join(beyond)}


def _x(day: date | None, *, today: date) -> float | None:
    """Return a day's place on the axis, held within its ends."""
    if day is None:
        return None
    return min(max(float((day - today + _BEFORE).days), 0.0), _END)


def _note(first: Forecast | None, *, low: float | None) -> str:
    """Return which limit the bar is about; a bar never carries another limit's name."""
    if first is None or low is None:
        return _("no date can be given")
    return words.case(first.limit_reason) if first.limit_reason else ""
