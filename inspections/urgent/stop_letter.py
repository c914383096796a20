"""The words of mails about stops that still stand, and about visits that were moved."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections.models import Stop, StopEvent, StopEventKind, UrgentMail, VisitMove
from inspections.urgent.plain import plain


def stops_of(*, scope: Scope, mail: UrgentMail) -> Sequence[Stop]:
    """Return the stops a mail is about: those told to its reader at that moment."""
    event = mail.stop_event
    if event is None:
        return ()
    rows = StopEvent.objects.within(scope).filter(
        kind=event.kind, at=event.at, told__contains=[mail.membership_id]
    )
    found = rows.select_related("stop__machine__building").order_by("stop_id")
    return [row.stop for row in found]


def of_stops(stops: Sequence[Stop], *, kind: str) -> Iterator[str]:
    """Yield the lines on stops that nobody has acknowledged, or that still stand."""
    if kind == StopEventKind.ESCALATED:
        yield _(
            "A machine was stopped, and nobody has said to have heard of it. You are "
            "the next on the list: acknowledge it, or call whoever is in charge."
        )
    else:
        yield _("These machines are still stopped.")
    for stop in stops:
        yield ""
        yield _("Lift %(code)s, %(name)s, %(building)s") % {
            "code": plain(stop.machine.code),
            "name": plain(stop.machine.name),
            "building": plain(stop.machine.building.name),
        }
        said = _(stop.get_cause_display())
        place = f", {plain(stop.place)}" if stop.place else ""
        yield f"- {said}{place}"
        yield "  " + _("Since %(day)s, stop %(number)s.") % {
            "day": f"{stop.since:%Y-%m-%d}",
            "number": stop.pk,
        }


def of_move(move: VisitMove, *, wrong: Machine, right: Machine) -> Iterator[str]:
    """Yield the lines on a visit that was made at another machine than it said."""
    yield _("You were told of readings at a machine where they were not made.")
    yield ""
    yield _("Said: lift %(code)s. Made at: lift %(right)s.") % {
        "code": plain(wrong.code),
        "right": plain(right.code),
    }
    yield _("Reason: %(why)s") % {"why": plain(move.why)}
    yield _(
        "What was read holds for the lift where it was made: treat that one as stopped "
        "if you were told of a stop. A stop of the other one ends only by a release."
    )
