"""The words of an urgent mail: which machine, what was read, what to do now."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.mail import EmailMessage
from django.utils import translation
from django.utils.translation import gettext as _

from fleet.models import Machine, Membership
from fleet.platform.database.tenancy import Scope
from fleet.platform.outbox import Undeliverable
from inspections import wording
from inspections.kinds import KINDS
from inspections.models import Cause, Finding, Reading, ReadingState, Stop, UrgentMail
from inspections.reasons import Code, Quantity, from_json
from inspections.reasons.serial import term_of, topic_of
from inspections.urgent import acting, stop_letter
from inspections.urgent.plain import plain

MOST_READINGS = 40


def compose(*, mail: UrgentMail, now: datetime) -> EmailMessage:
    """Return the mail, in the contractor's language; it says the same at any time.

    Raises Undeliverable where its reader has left.
    """
    readers = Membership.objects.filter(
        pk=mail.membership_id,
        contractor_id=mail.contractor_id,
        deactivated_at=None,
        person__is_active=True,
    )
    if not readers.exists():
        raise Undeliverable("its reader has left")
    scope = Scope(contractor_id=mail.contractor_id)
    readings: Sequence[Reading] = ()
    findings: Sequence[Finding] = ()
    if mail.upload_id is not None:
        readings = acting.readings_of(scope=scope, upload_id=mail.upload_id)
    elif mail.assessment_id is not None:
        findings = [
            row
            for pk in (mail.assessment_id, *(mail.further or ()))
            for row in acting.findings_of(scope=scope, assessment_id=pk)
        ]
    stops = stop_letter.stops_of(scope=scope, mail=mail)
    moved = _moved(mail)
    with translation.override(mail.contractor.language):
        if moved:
            lines = _of_move(mail, moved)
        elif mail.stop_event is not None:
            lines = _of_stops(stops, mail.stop_event.kind)
        else:
            lines = _of_upload(readings, mail) if readings else of_assessment(findings)
        about = [row.machine for row in readings] + [row.machine for row in findings]
        about += [*(row.machine for row in stops), *moved]
        standing = stops
        if not stops and not moved:
            standing = stop_letter.standing(scope=scope, mail=mail, machines=about)
        first = stop_letter.head(standing, contractor=mail.contractor)
        return EmailMessage(
            subject=stop_letter.subject(standing) if standing else _subject(about),
            body="\n".join((*(first if standing else ()), *lines)),
            to=[mail.address],
            headers={
                "Message-ID": mail.message_id,
                # RFC 3834: no machine shall answer this.
                "Auto-Submitted": "auto-generated",
                "Importance": "high",
            },
        )


def _moved(mail: UrgentMail) -> list[Machine]:
    """Return the wrong and the right machine of a visit that was moved."""
    if mail.visit_move is None:
        return []
    move = mail.visit_move
    return [move.from_visit.machine, move.to_visit.machine]


def _of_move(mail: UrgentMail, machines: list[Machine]) -> Iterator[str]:
    if mail.visit_move is not None:
        wrong, right = machines
        yield from stop_letter.of_move(mail.visit_move, wrong=wrong, right=right)
    yield from ("", *(f"- {text}" for text in _steps(stops=False)))


def _of_stops(stops: Sequence[Stop], kind: str) -> Iterator[str]:
    yield from stop_letter.of_stops(stops, kind=kind)
    yield from ("", _("What to do now"), *(f"- {text}" for text in _steps(stops=True)))


def _subject(machines: Sequence[Machine]) -> str:
    codes = list(dict.fromkeys(machine.code for machine in machines))
    more = f" +{len(codes) - 3}" if len(codes) > 3 else ""
    return _("Act now: %(machines)s") % {"machines": ", ".join(codes[:3]) + more}


def _of_upload(readings: Sequence[Reading], mail: UrgentMail) -> Iterator[str]:
    yield _("Readings were taken that ask for action before anything is calculated.")
    if any(row.state == ReadingState.UNCONFIRMED for row in readings):
        yield _(
            "Some lie outside what is usual, on the unsafe side. They are unconfirmed: "
            "act as if they were true, and have them measured again now."
        )
    seen: int | None = None
    for row in readings[:MOST_READINGS]:
        if row.machine_id != seen:
            seen = row.machine_id
            yield from ("", *_machine(row.machine))
        yield from _reading(row)
    if len(readings) > MOST_READINGS:
        yield ""
        yield _("%(count)s further readings of this upload are not listed here.") % {
            "count": len(readings) - MOST_READINGS
        }
    stops = any(_stops(row) for row in readings)
    yield from ("", _("What to do now"), *(f"- {text}" for text in _steps(stops=stops)))
    yield ""
    yield _("This mail was written by a machine from upload %(upload)s.") % {
        "upload": mail.upload_id
    }


def of_assessment(findings: Sequence[Finding]) -> Iterator[str]:
    """Yield the lines on findings that take a machine out of service."""
    yield _("An assessment found what takes a machine out of service.")
    if any(row.assessment.cause == Cause.RULES for row in findings):
        yield _(
            "The rules changed, not the machine: limits or rules of this service were "
            "corrected, and nothing was read or entered anew."
        )
    for machine in dict.fromkeys(row.machine for row in findings):
        yield from ("", *_machine(machine))
        for row in findings:
            if row.machine_id == machine.pk:
                yield from _finding(row)
    yield from ("", _("What to do now"), *(f"- {text}" for text in _steps(stops=True)))
    for row in findings[:1]:
        yield ""
        yield _(
            "This mail was written by a machine from assessment %(assessment)s."
        ) % {"assessment": row.assessment_id}


def _finding(row: Finding) -> Iterator[str]:
    about = (wording.name(topic_of(row.topic)), wording.place(row.place))
    yield f"- {', '.join(plain(text) for text in about if text)}"
    if row.value is not None and row.limit is not None:
        unit = f" {row.unit}" if row.unit else ""
        yield "  " + _("Found %(value)s, limit %(limit)s.") % {
            "value": f"{row.value:.4g}{unit}",
            "limit": f"{row.limit:.4g}{unit}",
        }
    if held_against := _held_against(row):
        yield f"  {held_against}"
    if why := _why(row):
        yield f"  {why}"
    if row.source:
        text = _("Source: %(source)s (%(how_sure)s)")
        yield "  " + text % {
            "source": plain(row.source),
            "how_sure": _known(row.how_sure) or "-",
        }
    if row.unconfirmed:
        yield "  " + _("Unconfirmed: act as if true, measure again now.")
    yield "  " + _(
        "Take the machine out of service until a competent person has decided."
    )


def _held_against(row: Finding) -> str:
    """Return the criterion by its code; of an earlier version as it was said."""
    return plain(wording.name(term_of(row.rule)) if row.rule else row.criterion)


def _why(row: Finding) -> str:
    """Return the reason in the active language; an earlier version's words as said."""
    said = from_json(row.said)
    return plain(row.reason if said is None else wording.say(said))


def _steps(*, stops: bool) -> Iterator[str]:
    if stops:
        yield _(
            "Where it says so above: take the machine out of service until a competent "
            "person has decided. Secure car and counterweight."
        )
    yield _(
        "Before anyone measures again: isolate and lock out, prove "
        "dead, land and secure the counterweight, suspend the car "
        "independently. Never touch, gauge or wipe moving ropes."
    )
    yield _(
        "These are readings of one day as they were sent. This is not "
        "an inspection and does not authorise operation. Local code, "
        "the authority having jurisdiction and the licensed inspector "
        "decide."
    )


def _machine(machine: Machine) -> Iterator[str]:
    yield _("Lift %(code)s, %(name)s, %(building)s") % {
        "code": plain(machine.code),
        "name": plain(machine.name),
        "building": plain(machine.building.name),
    }


def _reading(row: Reading) -> Iterator[str]:
    zone = ZoneInfo(row.machine.building.time_zone)
    typed = _known(row.word) if row.word else row.typed_value
    said = " ".join(part for part in (typed, row.typed_unit) if part)
    yield _("- %(what)s: %(said)s (read %(when)s, reference %(reference)s)") % {
        "what": ", ".join((_kind(row.kind), *_place(row))),
        "said": said,
        "when": row.taken_at.astimezone(zone).strftime("%Y-%m-%d %H:%M %Z"),
        "reference": row.reference,
    }
    yield "  " + _limit(row)
    if row.state == ReadingState.UNCONFIRMED:
        yield "  " + _("Unconfirmed: act as if true, measure again now.")
    if _stops(row):
        yield "  " + _(
            "Take the machine out of service until a competent person has decided."
        )
    if row.note:
        yield "  " + _("Note: %(note)s") % {"note": plain(row.note)}


def _limit(row: Reading) -> str:
    """Return what was passed and where that limit comes from."""
    kind = KINDS.get(row.kind)
    said = from_json(row.state_said)
    passed = {} if said is None else dict(said.values)
    if said is not None and said.code in (Code.BAND_BELOW, Code.BAND_ABOVE):
        text = _(
            "%(value)s is at or above %(limit)s, the end of the usual band. Source of "
            "the band: common practice, no published source."
        )
        if said.code is Code.BAND_BELOW:
            text = _(
                "%(value)s is at or below %(limit)s, the end of the usual band. Source "
                "of the band: common practice, no published source."
            )
        return text % {name: _amount(passed.get(name)) for name in ("value", "limit")}
    if said is None and row.state_reason and not row.word:
        # A reading of an earlier version has its words only.
        return plain(row.state_reason)
    if kind is not None and kind.stops_at_or_below is not None:
        text = _(
            "At or below %(limit)s the rope has no clearance left. Source: common "
            "practice, no published source."
        )
        return text % {"limit": f"{kind.stops_at_or_below:g}"}
    return _("Seen by a person; it needs no limit. Source: the reading itself.")


def _amount(value: object) -> str:
    if not isinstance(value, Quantity):
        return "?"
    return wording.ReadersWords().quantity(value, "g")


def _stops(row: Reading) -> bool:
    kind = KINDS.get(row.kind)
    return kind is not None and acting.is_stopping(
        kind=kind, value=row.value, word=row.word
    )


def _kind(code: str) -> str:
    return _known(KINDS[code].name if code in KINDS else code.replace("_", " "))


def _place(row: Reading) -> Iterator[str]:
    if row.groove is not None:
        yield _("groove %(number)s") % {"number": row.groove.number}
    if row.rope is not None:
        yield _("rope %(number)s") % {"number": row.rope.number}
    for key, value in row.place.items():
        yield f"{_known(key.replace('_', ' '))} {_known(plain(str(value)))}"


def _known(text: str) -> str:
    """Return a word of the closed lists in the active language; others as they are."""
    return translation.gettext(text) if text else ""
