"""Limits that no lift code prints but that every set starts with."""

from dataclasses import replace

from inspections.engineering.criteria.catalogue import row
from inspections.engineering.limit import Limit, Stage
from inspections.engineering.source import Certainty, Source

_PRACTICE = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)
_TENSION_COURSE = Source(
    document='"Traction Sheave Maintenance", a course in Elevator World',
    certainty=Certainty.CONFIRMED,
)
_MACHINES = Source(
    document="GB/T 24478", edition="2009", certainty=Certainty.FROM_MEMORY
)
_MEMORY = Source(document="maintenance practice", certainty=Certainty.FROM_MEMORY)
_EN_81_50 = Source(
    document="EN 81-50",
    edition="2014",
    clause="5.11.2.2.1",
    certainty=Certainty.CONFIRMED,
)
_DISCARD = Source(document="TSG T7001", certainty=Certainty.FROM_MEMORY)

# Where a set prints none: 2 is heavy, 1 a trace.
ROUGE_WATCHED = replace(
    row(
        key="rouge_most",
        value=1.0,
        source=_PRACTICE,
        note="wires cannot be seen under it; the rope runs dry inside",
    ),
    stage=Stage.WATCH,
)

SERVICE: tuple[Limit, ...] = (
    row(
        key="roping_most",
        value=2.0,
        source=Source(document="range of the method", certainty=Certainty.DERIVED),
        note="above 2:1 the tensions are not computed here",
    ),
    row(key="undercut_angle_most", value=106.0, source=_EN_81_50),
    row(
        key="tension_spread",
        value=10.0,
        source=_TENSION_COURSE,
        note="against the lowest; judge it against the noise of the gauge",
    ),
    row(
        key="tension_spread_most",
        value=40.0,
        source=_PRACTICE,
        note="past it the ropes are equalised before the machine runs on",
    ),
    row(
        key="tension_slack_least",
        value=50.0,
        source=_PRACTICE,
        note="a rope below it is slack: the others carry its share",
    ),
    row(key="deformation_most", value=0.0, source=_DISCARD, note="cage, core, kinks"),
    row(key="worn_or_rusted_most", value=0.0, source=_PRACTICE),
    row(key="twist_most", value=0.0, source=_PRACTICE),
    row(key="dryness_most", value=0.0, source=_PRACTICE),
    row(
        key="wetness_most",
        value=0.0,
        source=_PRACTICE,
        note="a faint oily smudge is right; more points to slip",
    ),
    row(
        key="lay_length_growth",
        value=5.0,
        source=_PRACTICE,
        note="a lay that grows says that the core gives way",
    ),
    row(
        key="counterweight_runby_least",
        value=50.0,
        source=_PRACTICE,
        note="the code's own run-by depends on buffer and speed; enter it",
    ),
    row(
        key="car_runby_least",
        value=50.0,
        source=_PRACTICE,
        note="the code's own run-by depends on buffer and speed; enter it",
    ),
    row(key="speed_least", value=92.0, source=_MEMORY),
    row(key="speed_most", value=105.0, source=_MEMORY),
    row(
        key="bottom_clearance_least",
        value=0.5,
        source=_PRACTICE,
        note="friction falls within 0.01 rope radius after touching: act before it",
    ),
    row(key="hardness_least", value=180.0, source=_PRACTICE, note="unhardened iron"),
    row(
        key="hardness_spread_most",
        value=15.0,
        source=_MACHINES,
        note="for new machines",
    ),
    row(key="groove_diameter_spread_new", value=0.10, source=_MACHINES),
    row(key="seat_runout_share_new", value=0.05, source=_MACHINES, note="D/2000"),
    row(key="groove_depth_spread", value=10.0, source=_MEMORY),
)
