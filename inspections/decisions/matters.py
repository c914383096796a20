"""What asks for something to be done, and which kinds of work answer it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from inspections.decisions.dates import years_on
from inspections.decisions.records import (
    AheadLimit,
    MachineFacts,
    OpenFinding,
    OptionKind,
    Thresholds,
)
from inspections.reasons import Code, Grade, Reason, Topic, because, place_of
from inspections.reasons.serial import quantity_of, topic_of


class MatterSubject(StrEnum):
    """What a finding or a limit is about, as far as work can answer it."""

    GRIP = "traction and slip"
    SEATS = "seats of the grooves"
    ROPES = "ropes"
    TENSION = "tensions"
    FEED = "feed of the ropes"
    RUNBY = "run-by"
    RIM = "rim"
    ASIDE = "no work of this list"


_GROOVES = tuple(kind for kind in OptionKind if kind.renews_grooves)
_ROPES = (OptionKind.RE_ROPE, *_GROOVES)
ANSWERED_BY = {
    MatterSubject.GRIP: _GROOVES,
    MatterSubject.SEATS: _GROOVES,
    MatterSubject.FEED: _GROOVES,
    MatterSubject.ROPES: _ROPES,
    MatterSubject.TENSION: (OptionKind.EQUALISE, *_ROPES),
    MatterSubject.RUNBY: (OptionKind.SHORTEN, *_ROPES),
    MatterSubject.RIM: (OptionKind.RENEW_RIM, OptionKind.REPLACE_SHEAVE),
    # No work of the list answers it: somebody has to look before anything is decided.
    MatterSubject.ASIDE: (OptionKind.MEASURE_FIRST,),
}
# Topics of findings by their names; any other is set aside and left to a person.
SUBJECTS: Mapping[str, MatterSubject] = {
    Topic.TRACTION: MatterSubject.GRIP,
    Topic.BOTTOM_CLEARANCE: MatterSubject.GRIP,
    Topic.CREEP: MatterSubject.GRIP,
    Topic.ROPE_SLIP: MatterSubject.GRIP,
    Topic.TRACTION_TEST: MatterSubject.GRIP,
    Topic.TRACTION_OF_CASE: MatterSubject.GRIP,
    Topic.TRACTION_TOGETHER: MatterSubject.GRIP,
    Topic.SEAT_FIT: MatterSubject.SEATS,
    Topic.SEAT_DEPTHS: MatterSubject.SEATS,
    Topic.PAIR: MatterSubject.SEATS,
    Topic.HARDENED: MatterSubject.SEATS,
    Topic.RUNOUT: MatterSubject.SEATS,
    Topic.CROWN_STEP: MatterSubject.SEATS,
    Topic.AS_LEFT: MatterSubject.SEATS,
    Topic.ROPE_DISCARD: MatterSubject.ROPES,
    Topic.BROKEN_WIRES: MatterSubject.ROPES,
    Topic.SHAPE: MatterSubject.ROPES,
    Topic.WORN_OR_RUSTED: MatterSubject.ROPES,
    Topic.ROPE_DIAMETER: MatterSubject.ROPES,
    Topic.ROPE_TENSION: MatterSubject.TENSION,
    Topic.TENSION_SWING: MatterSubject.FEED,
    Topic.COUNTERWEIGHT_RUNBY: MatterSubject.RUNBY,
    Topic.CAR_RUNBY: MatterSubject.RUNBY,
    Topic.RIM_METAL: MatterSubject.RIM,
}
OF_QUANTITY = {
    "seat_depth": MatterSubject.GRIP,
    "diameter_loss": MatterSubject.ROPES,
    "broken_wires": MatterSubject.ROPES,
    "counterweight_runby": MatterSubject.RUNBY,
}
# Where this ends the wear of a seat, another cut takes away what lacks.
RIM_METAL = "RIM_METAL"
# Not assessed, these are asked for before anything else is believed; our rule.
NEEDED = (Topic.TRACTION, Topic.BOTTOM_CLEARANCE, Topic.ROPE_DISCARD)
# Such a finding takes the machine out of service: failed traction, slip, discard.
_STOPPING = (MatterSubject.GRIP, MatterSubject.ROPES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """One thing that asks for work: an open finding, or a limit that is near.

    `answered_by` are the kinds of work that end it. `is_finding` tells a finding from
    a limit that is only near, and from something that is not assessed.
    """

    key: str
    said: Reason
    subject: MatterSubject
    answered_by: tuple[OptionKind, ...]
    is_finding: bool = False
    is_urgent: bool = False
    stops: bool = False


def of_machine(
    *, facts: MachineFacts, thresholds: Thresholds, as_of: date
) -> tuple[Matter, ...]:
    """Return all that asks for something, findings first."""
    until = years_on(as_of, thresholds.value("near_years"))
    found = (
        *(_finding(each) for each in facts.findings if is_open(each)),
        *(
            _unknown(each)
            for each in facts.findings
            if each.grade is Grade.NOT_ASSESSED and each.topic in NEEDED
        ),
        *(_near(each) for each in facts.ahead if is_near(each, until)),
    )
    return tuple(map(_for_a_person, found)) if facts.uncomputable else found


def _for_a_person(matter: Matter) -> Matter:
    """Return a matter of a machine that nothing can be worked out for."""
    answers = dict.fromkeys((OptionKind.MEASURE_FIRST, *matter.answered_by))
    return replace(matter, answered_by=tuple(answers))


def is_open(finding: OpenFinding) -> bool:
    """Return whether a finding asks for work."""
    return finding.grade.is_open or finding.stop


def is_near(limit: AheadLimit, until: date) -> bool:
    """Return whether a limit of this machine's own is to be planned for by a day."""
    day = limit.plan_before_on
    return limit.own and day is not None and day <= until


def _finding(finding: OpenFinding) -> Matter:
    subject = SUBJECTS.get(finding.topic, MatterSubject.ASIDE)
    urgent = finding.stop or finding.grade is Grade.ACT_NOW
    stops = finding.stop or (urgent and subject in _STOPPING)
    answers = ANSWERED_BY[subject]
    if finding.unconfirmed and not stops and OptionKind.MEASURE_FIRST not in answers:
        answers = (OptionKind.MEASURE_FIRST, *answers)
    return Matter(
        key=finding.key,
        said=_said(finding),
        subject=subject,
        answered_by=answers,
        is_finding=True,
        is_urgent=urgent,
        stops=stops,
    )


def _unknown(finding: OpenFinding) -> Matter:
    return Matter(
        key=finding.key,
        said=_said_unknown(finding),
        subject=MatterSubject.ASIDE,
        answered_by=ANSWERED_BY[MatterSubject.ASIDE],
    )


def _near(limit: AheadLimit) -> Matter:
    subject = OF_QUANTITY.get(limit.quantity, MatterSubject.ASIDE)
    if limit.reason == RIM_METAL:
        subject = MatterSubject.RIM
    return Matter(
        key=limit.key,
        said=_said_near(limit),
        subject=subject,
        answered_by=ANSWERED_BY[subject],
    )


def _said(finding: OpenFinding) -> Reason:
    topic, place = topic_of(finding.topic), finding.place
    if not place:
        return because(Code.MATTER, topic=topic)
    return because(Code.MATTER_AT, topic=topic, place=place_of(place))


def _said_unknown(finding: OpenFinding) -> Reason:
    topic, place = topic_of(finding.topic), finding.place
    if not place:
        return because(Code.MATTER_UNKNOWN, topic=topic)
    return because(Code.MATTER_UNKNOWN_AT, topic=topic, place=place_of(place))


def _said_near(limit: AheadLimit) -> Reason:
    quantity, day, place = (
        quantity_of(limit.quantity),
        limit.plan_before_on,
        limit.place,
    )
    if day is None:
        raise ValueError(f"{limit.key} has no day to plan by; it is near no day")
    if not place:
        return because(Code.MATTER_NEAR, quantity=quantity, day=day)
    return because(
        Code.MATTER_NEAR_AT, quantity=quantity, place=place_of(place), day=day
    )
