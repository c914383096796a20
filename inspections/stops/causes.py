"""What each cause of a stop is raised by, and what can release it."""

from collections.abc import Mapping
from dataclasses import dataclass

from fleet.register.choices import WorkKind
from inspections.kinds import KINDS, Group, of_group
from inspections.models import StopCause
from inspections.reasons import Topic

_NEW_SHEAVE = (WorkKind.RIM_RENEWAL, WorkKind.SHEAVE_REPLACEMENT)
_GRIP = (WorkKind.ROPING, WorkKind.REGROOVING, *_NEW_SHEAVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRule:
    """The work that answers a cause, what is read after it, and how to refute it.

    One of the kinds in `reads` is read as left; where they are several, they answer the
    same question. `looks_again` asks for a new reading on site before a refutation.
    """

    works: tuple[str, ...]
    reads: tuple[str, ...]
    looks_again: bool = False


_OF_PART = {
    "crack": StopCause.CRACK,
    "fastening": StopCause.FASTENING_DEFECT,
    "brake": StopCause.BRAKE_DEFECT,
}
OF_TOPIC: Mapping[str, StopCause] = {
    Topic.ROPE_SLIP: StopCause.ROPE_SLIP,
    Topic.BRAKE: StopCause.BRAKE_SLIDES,
    Topic.TRACTION_TEST: StopCause.SLIP_TEST_FAILED,
    Topic.CREEP: StopCause.MARKS_SLIP,
    Topic.TRACTION: StopCause.TRACTION,
    Topic.TRACTION_STALLED: StopCause.TRACTION,
    Topic.TRACTION_OF_CASE: StopCause.TRACTION,
    Topic.TRACTION_TOGETHER: StopCause.TRACTION,
    Topic.BOTTOM_CLEARANCE: StopCause.ROPE_BOTTOMS,
    Topic.BROKEN_WIRES: StopCause.BROKEN_WIRES,
    Topic.ROPE_DIAMETER: StopCause.ROPE_DIAMETER,
    Topic.SHAPE: StopCause.ROPE_DISCARD,
}


def _own(cause: StopCause) -> tuple[str, ...]:
    """Return the kinds of reading that raise a cause by themselves."""
    topics = [topic for topic, of in OF_TOPIC.items() if of == cause]
    return tuple(kind.code for kind in KINDS.values() if kind.topic in topics)


# Which work answers which cause: common practice, no source.
RULES: Mapping[str, CauseRule] = {
    StopCause.ROPE_SLIP: CauseRule(
        works=_GRIP, reads=_own(StopCause.ROPE_SLIP), looks_again=True
    ),
    StopCause.MARKS_SLIP: CauseRule(
        works=_GRIP, reads=("rope_mark_offset",), looks_again=True
    ),
    StopCause.SLIP_TEST_FAILED: CauseRule(
        works=_GRIP,
        reads=(
            *_own(StopCause.ROPE_SLIP),
            "rope_mark_offset",
            *_own(StopCause.SLIP_TEST_FAILED),
        ),
        looks_again=True,
    ),
    StopCause.TRACTION: CauseRule(works=_GRIP, reads=of_group(Group.SEAT_DEPTH)),
    StopCause.BRAKE_SLIDES: CauseRule(
        works=(WorkKind.REPAIR,), reads=_own(StopCause.BRAKE_SLIDES), looks_again=True
    ),
    StopCause.BRAKE_DEFECT: CauseRule(
        works=(WorkKind.REPAIR,), reads=("check",), looks_again=True
    ),
    StopCause.CRACK: CauseRule(
        works=(*_NEW_SHEAVE, WorkKind.REPAIR), reads=("check",), looks_again=True
    ),
    StopCause.FASTENING_DEFECT: CauseRule(
        works=(WorkKind.REPAIR, WorkKind.ROPING, WorkKind.SHORTENING),
        reads=("check",),
        looks_again=True,
    ),
    StopCause.PART_DEFECT: CauseRule(
        works=(WorkKind.REPAIR, *_NEW_SHEAVE), reads=("check",), looks_again=True
    ),
    StopCause.ROPE_BOTTOMS: CauseRule(works=_GRIP, reads=of_group(Group.SEAT_DEPTH)),
    StopCause.BROKEN_WIRES: CauseRule(
        works=(WorkKind.ROPING,), reads=of_group(Group.BROKEN_WIRES)
    ),
    StopCause.ROPE_DIAMETER: CauseRule(
        works=(WorkKind.ROPING,), reads=("rope_diameter",)
    ),
    StopCause.ROPE_DISCARD: CauseRule(
        works=(WorkKind.ROPING,),
        reads=(
            *_own(StopCause.ROPE_DISCARD),
            "rope_diameter",
            "lay_length",
            "rouge",
            "crown_wire_flat",
            *of_group(Group.BROKEN_WIRES),
        ),
    ),
    # Nobody knows what answers it: whatever was done, something was read after it.
    StopCause.OTHER: CauseRule(
        works=tuple(WorkKind.values), reads=(), looks_again=True
    ),
}
# Topics whose findings say what a person has seen.
SEEN_TOPICS = (Topic.ROPE_SLIP, Topic.BRAKE, Topic.CHECK, Topic.SHAPE)


def of_part(part: str) -> StopCause:
    """Return the cause that a defect of a part is."""
    return _OF_PART.get(part, StopCause.PART_DEFECT)


def of_reading(*, kind: str, part: str) -> StopCause:
    """Return the cause that a reading is which stops a machine by itself."""
    topic = KINDS[kind].topic if kind in KINDS else None
    if topic is Topic.CHECK:
        return of_part(part)
    return OF_TOPIC.get(topic or "", StopCause.OTHER)


def of_finding(
    *, topic: str, place: str, on_rope: bool, test_failed: bool
) -> StopCause:
    """Return the cause that a finding is which takes a machine out of service."""
    if topic == Topic.CHECK:
        return of_part(place)
    if test_failed:
        return StopCause.SLIP_TEST_FAILED
    return OF_TOPIC.get(topic, StopCause.ROPE_DISCARD if on_rope else StopCause.OTHER)
