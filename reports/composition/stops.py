"""Machines out of service: what stands, what ends it, who has heard of it."""

from collections.abc import Iterable, Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.models import Machine
from fleet.register.choices import WorkKind
from inspections.models import Reading, Stop, StopCause, StopEventKind
from inspections.stops import causes, ending
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# What a test or a look has shown of the grip that traction is worked out for.
_OF_GRIP = (StopCause.ROPE_SLIP, StopCause.MARKS_SLIP, StopCause.SLIP_TEST_FAILED)
_TOLD = (StopEventKind.TOLD, StopEventKind.ESCALATED, StopEventKind.REMINDED)
_HEADING = gettext_lazy("OUT OF SERVICE")


def out_of_service(
    facts: Sequence[MachineRecord],
    *,
    reader: Reader,
    people: Mapping[int, str],
    call: str,
) -> tuple[content.OutOfService, ...]:
    """Return the machines with open stops, the longest standing first."""
    stopped = [f for f in facts if f.stops]
    stopped.sort(key=lambda f: (f.stops[0].since, f.machine.code))
    return tuple(
        of_machine(f, reader=reader, people=people, call=call) for f in stopped
    )


def of_machine(
    facts: MachineRecord, *, reader: Reader, people: Mapping[int, str], call: str
) -> content.OutOfService:
    """Return what keeps one machine out of service."""
    return _block(facts.machine, facts.stops, reader=reader, people=people, call=call)


def of_stops(
    stops: Iterable[Stop], *, reader: Reader, people: Mapping[int, str], call: str
) -> tuple[content.OutOfService, ...]:
    """Return the machines that open stops are of, in the order of the stops."""
    by_machine: dict[int, list[Stop]] = {}
    for stop in stops:
        by_machine.setdefault(stop.machine_id, []).append(stop)
    return tuple(
        _block(rows[0].machine, rows, reader=reader, people=people, call=call)
        for rows in by_machine.values()
    )


def headline(codes: Sequence[str], *, named: str) -> str:
    """Return the first sentence where machines stand; their names as `named`."""
    return ngettext(
        "OUT OF SERVICE: %(machines)s. It must not run until its stop is released.",
        "OUT OF SERVICE: %(machines)s. They must not run until their stops are "
        "released.",
        len(codes),
    ) % {"machines": named}


def contradiction(facts: MachineRecord, *, reader: Reader) -> str:
    """Return that a test or a look contradicts calculated traction; "" if none does."""
    found = [stop for stop in facts.stops if stop.cause in _OF_GRIP]
    if not found:
        return ""
    read: list[Reading] = [
        facts.readings[pk] for s in found for pk in s.readings if pk in facts.readings
    ]
    latest = max((row.taken_at for row in read), default=max(s.since for s in found))
    return _("contradicted by the test of %(day)s") % {"day": reader.day(latest)}


def not_ready(facts: MachineRecord) -> str:
    """Return why a machine is not ready for acceptance; "" where nothing stops it."""
    if not facts.stops:
        return ""
    named = dict.fromkeys(cause_of(stop) for stop in facts.stops)
    return _("What keeps it out of service: %(causes)s.") % {"causes": "; ".join(named)}


def cause_of(stop: Stop) -> str:
    """Return a stop's cause with its place, in words."""
    said = words.said(str(stop.get_cause_display()))
    place = words.place(stop.place)
    return f"{said} ({place})" if place else said


def _block(
    machine: Machine,
    stops: Sequence[Stop],
    *,
    reader: Reader,
    people: Mapping[int, str],
    call: str,
) -> content.OutOfService:
    return content.OutOfService(
        machine=f"{machine.code}  {machine.name}",
        code=machine.code,
        heading=str(_HEADING),
        stops=tuple(
            content.StandingStop(
                cause=words.sentence(cause_of(stop)),
                facts=(
                    content.Row(label=_("since"), value=reader.day(stop.since)),
                    content.Row(label=_("ended only by"), value=_ended_by(stop)),
                    content.Row(
                        label=_("who knows of it"),
                        value=_heard(stop, reader=reader, people=people),
                    ),
                    content.Row(label=_("whom to call"), value=call),
                ),
            )
            for stop in stops
        ),
    )


def _ended_by(stop: Stop) -> str:
    """Return the work and what is read after it, or a refutation."""
    rule = causes.RULES[stop.cause]
    by_work = _("work that answers it")
    if len(rule.works) < len(WorkKind):
        kinds = [words.said(str(WorkKind(kind).label)) for kind in rule.works]
        by_work = _(" or ").join(kinds)
    read = [words.kind(kind) for kind in ending.reads_of(stop)] or [_("what raised it")]
    refuted = _("or a refutation with its reason")
    if rule.looks_again:
        refuted = _("or a refutation after looking again on site")
    return _(
        "%(work)s, then read as left with nothing beyond a limit (%(read)s) and "
        "accepted by a competent person; %(refuted)s"
    ) % {"work": by_work, "read": _(" or ").join(read), "refuted": refuted}


def _heard(stop: Stop, *, reader: Reader, people: Mapping[int, str]) -> str:
    if stop.acknowledged_at is not None:
        return _("acknowledged by %(name)s on %(day)s") % {
            "name": people.get(stop.acknowledged_by or 0, _("not known")),
            "day": reader.day(stop.acknowledged_at),
        }
    told = {
        pk for event in stop.events.all() if event.kind in _TOLD for pk in event.told
    }
    if not told:
        return _("nobody has acknowledged it")
    # Names of those who were told are the office's own, here as in the API.
    return _("the office has been told; nobody has acknowledged it")
