"""What is due in the portfolio: by its day, by building, by part."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from inspections import inputs
from inspections.models import DueWork
from inspections.planning import portfolio
from reports import content, review
from reports.composition import reasons
from reports.composition.decided import money, spoken
from reports.composition.long_tables import MOST_ROWS, and_more
from reports.composition.reader import Reader

_NO_DAY = 9999


def worklist(*, scope: Scope, reader: Reader, today: date) -> content.Table:
    """Return proposed and planned work, the earliest day first."""
    lines, count = review.due_works(scope=scope, most=MOST_ROWS)
    return content.Table(
        title=_("Worklist"),
        columns=(
            content.Column(heading=_("Due"), share=1.3),
            content.Column(heading=_("Order by"), share=1.0),
            content.Column(heading=_("Machine"), share=1.5),
            content.Column(heading=_("Work"), share=1.8),
            content.Column(heading=_("Stands"), share=1.45),
            content.Column(heading=_("Chance"), align=content.Align.RIGHT, share=1.35),
            content.Column(heading=_("May cost"), share=1.5),
        ),
        rows=tuple(_line(line, reader=reader, today=today) for line in lines),
        note=" ".join(
            (
                _(
                    "Chance that a limit of safety is reached before the usual "
                    "next visit."
                ),
                and_more(count),
            )
        ).rstrip(),
    )


def by_building(*, scope: Scope, reader: Reader) -> content.Table:
    """Return what is due by building, and what neighbours can share."""
    groups, lines, count = review.due_by_building(scope=scope, most=MOST_ROWS)
    earlier = portfolio.earlier(inputs.standing_terms(scope=scope))
    right = content.Align.RIGHT
    return content.Table(
        title=_("Due by building"),
        columns=(
            content.Column(heading=_("Building"), share=1.8),
            content.Column(heading=_("Machines"), align=right, share=1.2),
            content.Column(heading=_("Works"), align=right, share=0.9),
            content.Column(heading=_("First due"), share=1.1),
            content.Column(heading=_("Order by"), share=1.1),
            content.Column(heading=_("To be done together"), share=2.2),
        ),
        rows=tuple(
            (
                group["building__name"],
                str(group["machines"]),
                str(group["works"]),
                _day(group["first_on"], reader=reader),
                _day(group["order_by_on"], reader=reader),
                "; ".join(_shared(group, lines, earlier=earlier, reader=reader)),
            )
            for group in groups
        ),
        note=and_more(count),
    )


def by_part(*, scope: Scope, reader: Reader) -> content.Table:
    """Return the ropes that have to be ordered: the same for several is one order."""
    groups, count = review.due_by_part(scope=scope, most=MOST_ROWS)
    right = content.Align.RIGHT
    return content.Table(
        title=_("To order, by part"),
        columns=(
            content.Column(heading=_("Part"), share=2.6),
            content.Column(heading=_("Ropes"), align=right, share=0.7),
            content.Column(heading=_("Machines"), align=right, share=1.1),
            content.Column(heading=_("First due"), share=1.1),
            content.Column(heading=_("Order by"), share=1.1),
        ),
        rows=tuple(
            (
                reasons.stored(group["part_said"], group["part"], reader=reader),
                str(group["count"]),
                str(group["machines"]),
                _day(group["first_on"], reader=reader),
                _day(group["order_by_on"], reader=reader),
            )
            for group in groups
        ),
        note=and_more(count),
    )


def _line(line: DueWork, *, reader: Reader, today: date) -> tuple[str, ...]:
    return (
        _window(line, reader=reader, today=today),
        _day(line.order_by_on, reader=reader),
        f"{line.machine.code} {line.machine.name}",
        spoken.kind(line.kind, reader=reader),
        _(str(line.get_state_display())),
        _("limit reached") if line.risk >= 1.0 else _chance(line.risk, reader=reader),
        _cost(line),
    )


def _window(line: DueWork, *, reader: Reader, today: date) -> str:
    """Return when a line is due; that a machine stands comes before its day."""
    due, start = line.due_before_on, line.window_from_on
    text = _("no day is known")
    if due is not None:
        text = _("before %(day)s") % {"day": reader.day(due)}
        if due <= today:
            text = _("now (since %(day)s)") % {"day": reader.day(due)}
        elif start is not None:
            text = _("%(start)s to %(end)s") % {
                "start": reader.day(start),
                "end": reader.day(due),
            }
    if line.out_of_service:
        return _("out of service; %(due)s") % {"due": text}
    return text


def _chance(risk: float, *, reader: Reader) -> str:
    if 0.0 < risk < 0.001:
        return reader.local("<\N{NO-BREAK SPACE}0.1\N{NO-BREAK SPACE}%")
    return reader.local(f"{100.0 * risk:.2g} %") if risk else "–"


def _cost(line: DueWork) -> str:
    if line.cost_low is None or line.cost_high is None:
        return _("not estimated")
    return money.between(float(line.cost_low), float(line.cost_high), line.currency)


def _shared(
    group: Mapping[str, Any],
    lines: Mapping[int, DueWork],
    *,
    earlier: timedelta,
    reader: Reader,
) -> Iterator[str]:
    """Yield what one hoisting or access serves, where it is more than one machine's."""
    rows = [lines[pk] for pk in group["lines"] if pk in lines]
    lifted, entered = portfolio.shared(rows, earlier=earlier)
    for words, each in (
        *((_("lifted at one go: %(machines)s before %(day)s"), one) for one in lifted),
        *((_("at one access: %(machines)s before %(day)s"), one) for one in entered),
    ):
        codes = dict.fromkeys(lines[pk].machine.code for pk in each.lines)
        if len(codes) > 1:
            yield words % {
                "machines": ", ".join(codes),
                "day": _day(each.due_before_on, reader=reader),
            }


def _day(day: date | None, *, reader: Reader) -> str:
    if day == date.min:
        # Before all days: the machine stands.
        return _("now")
    return "–" if day is None or day.year == _NO_DAY else reader.day(day)
