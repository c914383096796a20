"""The words of mails about stops that still stand, and about visits that were moved."""

from collections.abc import Iterator, Sequence

from django.db.models import Q
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.models import Contractor, Machine
from fleet.platform.database.tenancy import Scope
from inspections.models import Stop, StopEvent, StopEventKind, UrgentMail, VisitMove
from inspections.stops import ending
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


def standing(
    *, scope: Scope, mail: UrgentMail, machines: Sequence[Machine]
) -> Sequence[Stop]:
    """Return the stops of some machines that stood when the mail was written."""
    rows = Stop.objects.within(scope).filter(
        machine__in=machines, created_at__lte=mail.created_at
    )
    open_then = rows.filter(Q(released_at=None) | Q(released_at__gt=mail.created_at))
    return list(open_then.select_related("machine__building").order_by("since", "pk"))


def subject(stops: Sequence[Stop]) -> str:
    """Return the subject of a mail on machines that must not run."""
    machines = list(dict.fromkeys(stop.machine for stop in stops))
    more = f" +{len(machines) - 3}" if len(machines) > 3 else ""
    named = ", ".join(plain(machine.code) for machine in machines[:3]) + more
    if len(machines) > 1:
        return _("OUT OF SERVICE: %(machines)s") % {"machines": named}
    return _("OUT OF SERVICE: %(machine)s, %(building)s, since %(day)s") % {
        "machine": named,
        "building": plain(machines[0].building.name),
        "day": f"{stops[0].since:%Y-%m-%d}",
    }


def head(stops: Sequence[Stop], *, contractor: Contractor) -> Iterator[str]:
    """Yield first what must be known: which machine, since when, what ends it, a call.

    Machine by machine; what ends it is said for each cause.
    """
    for machine in dict.fromkeys(stop.machine for stop in stops):
        own = [stop for stop in stops if stop.machine_id == machine.pk]
        yield _(
            "OUT OF SERVICE: lift %(code)s, %(name)s, %(building)s, since %(day)s."
        ) % {
            "code": plain(machine.code),
            "name": plain(machine.name),
            "building": plain(machine.building.name),
            "day": f"{own[0].since:%Y-%m-%d}",
        }
        for stop in {each.cause: each for each in own}.values():
            yield _("%(cause)s: it ends only by %(release)s.") % {
                "cause": capfirst(_(stop.get_cause_display())),
                "release": ending.ended_by(stop),
            }
    named = (contractor.name, contractor.responsible_person, contractor.telephone)
    called = ", ".join(plain(each) for each in named if each)
    if not contractor.telephone:
        called += " " + _("(no telephone is registered)")
    yield _("Whom to call: %(who)s.") % {"who": called}
    yield _(
        "Answer within %(minutes)s minutes: acknowledge it, else the next on the list "
        "is told."
    ) % {"minutes": contractor.acknowledge_minutes}
    yield ""


def of_stops(stops: Sequence[Stop], *, kind: str) -> Iterator[str]:
    """Yield the lines on stops that nobody has acknowledged, or that still stand."""
    if kind == StopEventKind.ESCALATED:
        yield _(
            "A machine was stopped, and nobody has said to have heard of it. You are "
            "the next on the list: acknowledge it, or call whoever is in charge."
        )
    elif kind == StopEventKind.REOPENED:
        yield _(
            "These stops had been released and stand again: what was read for their "
            "release was made at another machine, set aside or corrected."
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
