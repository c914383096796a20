"""What is measured at a machine: the steps, their minutes, what each needs.

The minutes are those of half an hour with the ropes on and of the visits of their
own kind; common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_noop

from fleet.choices import GrooveForm
from inspections.inputs import Snapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do at a machine. The texts are marked, not translated.

    `kinds` are read in one go; `over` says what the boxes are for, each with the
    place keys of one box; `topics` are the findings it serves.
    """

    code: str
    kinds: tuple[str, ...]
    what: str
    how: str
    minutes: int
    topics: tuple[str, ...]
    over: str = "machine"
    places: tuple[tuple[tuple[str, str], ...], ...] = ((),)


_DIRECTIONS = ((("direction", "1"),), (("direction", "2"),))
_FLANKS = ((("flank", "left"),), (("flank", "right"),))
_ENDS = (
    (("side", "car"), ("car_position", "bottom")),
    (("side", "car"), ("car_position", "top")),
)
STOPPED = gettext_noop("Ropes stopped, machine isolated and locked out.")

SEEN = Step(
    code="seen",
    kinds=("slip_seen", "brake_slide_seen"),
    what=gettext_noop("Slip of the ropes and slide of the brake"),
    how=gettext_noop(
        "Watch from a safe place, one trip each way with the empty car. If either is "
        "seen, stop here: out of service."
    ),
    minutes=2,
    topics=("rope slip", "brake"),
)
DIAMETERS = Step(
    code="diameters",
    kinds=("rope_diameter",),
    what=gettext_noop("Rope diameter"),
    how=gettext_noop(
        "Two directions at right angles, at the worst place of the free length. "
        "Ropes stopped, machine isolated and locked out."
    ),
    minutes=5,
    topics=("rope diameter", "rope got thicker", "rope discard"),
    over="rope",
    places=_DIRECTIONS,
)
CROWNS = Step(
    code="crowns",
    kinds=("rope_crown_height",),
    what=gettext_noop("Rope crown above the rim, at mark A"),
    how=gettext_noop(
        "Foot of the gauge on two lands, tip on a strand crown. Below the rim: write "
        "a minus. Ropes stopped, machine isolated and locked out."
    ),
    minutes=5,
    topics=("traction", "seat depths in the set", "crown height", "pair of grooves"),
    over="groove",
    places=((("mark", "A"),),),
)
CLEARANCES = Step(
    code="clearances",
    kinds=("bottom_clearance",),
    what=gettext_noop("Clearance between rope and slot bottom"),
    how=gettext_noop(
        "Wire or feeler from the side, at the middle of the wrap; if the rope touches "
        "write 0 and stop: out of service."
    ),
    minutes=8,
    topics=("traction", "bottom clearance"),
    over="groove",
)
BANDS = Step(
    code="bands",
    kinds=("seat_band_width",),
    what=gettext_noop("Width of the seat band on both flanks"),
    how=gettext_noop(
        "In the open lower arc, with calliper or replica. Ropes stopped, machine "
        "isolated and locked out."
    ),
    minutes=8,
    topics=("traction", "ways of measuring the seat"),
    over="groove",
    places=_FLANKS,
)
BREAKS = Step(
    code="breaks",
    kinds=("breaks_total",),
    what=gettext_noop("Broken wires in the worst lay"),
    how=gettext_noop(
        "By eye and rag on stopped ropes, lay by lay; never a hand on a moving rope."
    ),
    minutes=5,
    topics=("broken wires", "rope discard"),
    over="rope",
    places=((("window", "lay"),),),
)
ROUGE = Step(
    code="rouge",
    kinds=("rouge",),
    what=gettext_noop("Rouge: none, trace or heavy"),
    how=gettext_noop("Red-brown powder between the strands; ropes stopped."),
    minutes=2,
    topics=("rouge most", "rope discard"),
    over="rope",
)
RUNBY = Step(
    code="runby",
    kinds=("cwt_runby",),
    what=gettext_noop("Counterweight run-by"),
    how=gettext_noop("Car at the top landing; tape from counterweight to buffer."),
    minutes=3,
    topics=("counterweight run-by",),
)
TENSIONS = Step(
    code="tensions",
    kinds=("rope_tension",),
    what=gettext_noop("Rope tension, car at the bottom and at the top"),
    how=gettext_noop(
        "Same gauge, same height on every rope; say which way the car came."
    ),
    minutes=15,
    topics=("rope tension", "tension swing"),
    over="rope",
    places=_ENDS,
)
HARDNESS = Step(
    code="hardness",
    kinds=("hardness",),
    what=gettext_noop("Hardness of the rim at four marks"),
    how=gettext_noop("Portable tester on a cleaned land."),
    minutes=10,
    topics=("rim hardness",),
    places=tuple((("mark", mark),) for mark in "ABCD"),
)

_BY_FORM = {GrooveForm.UNDERCUT: CLEARANCES}
# In the order they are done; the first ones are part of every visit.
_ALWAYS = (SEEN, DIAMETERS, CROWNS)
_THEN = (BREAKS, ROUGE, RUNBY)
# Visits of their own, where time is left or a finding asks for them.
_EXTRA = (TENSIONS, HARDNESS)


def steps_for(snapshot: Snapshot) -> list[Step]:
    """Return what can be measured at a machine, in working order."""
    form = snapshot.geometry.form if snapshot.geometry else ""
    groove = _BY_FORM.get(GrooveForm(form), BANDS) if form else BANDS
    return [*_ALWAYS, groove, *_THEN, *_EXTRA]


def within(
    steps: Sequence[Step], *, minutes: int, open_topics: set[str], gaps: set[str]
) -> tuple[list[Step], list[Step]]:
    """Return the steps that fit into a time, and those that do not.

    Slip and brake come first always, then what an open finding asks for, then the
    usual visit, then what would close a gap; the steps that fit are returned in
    working order.
    """

    def rank(number: int) -> tuple[int, int]:
        step = steps[number]
        topics = set(step.topics)
        if step is SEEN or topics & open_topics:
            return (0, number)
        if step in _EXTRA:
            return (2 if topics & gaps else 3, number)
        return (1, number)

    fitting: set[int] = set()
    left = minutes
    for number in sorted(range(len(steps)), key=rank):
        if steps[number].minutes <= left:
            fitting.add(number)
            left -= steps[number].minutes
    inside = [step for n, step in enumerate(steps) if n in fitting]
    outside = [step for n, step in enumerate(steps) if n not in fitting]
    return inside, outside
