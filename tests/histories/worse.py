"""What *worse* means: one row for each kind of reading that is promised for.

Worse is said of a criterion at a place, never of the machine as a whole: a rope that is
read thinner makes the depth under its crown shallower, so its diameter promises nothing
of traction. `whole` says that a kind works on nothing else, so that the machine's state
and stops are promised too.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

SEAT = ("traction", "bottom clearance", "hardened layer")
BREAKS = ("broken wires",)
TENSION = ("rope tension",)
# What masses work on, or the wrap.
MASSES = (
    "traction",
    "pair of grooves",
    "creep over the sheave",
    "rope safety factor",
    "groove pressure",
)
# Topic and place at which a worse reading counts: its own place where this is empty.
ANYWHERE = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worse:
    """How a kind of reading gets worse, and what is promised of it.

    `sign` is the direction in which a number gets worse, 0 for away from zero; `words`
    run from good to bad. `steps` are changes in the kind's own unit, from hardly seen
    to beyond belief. `topics` are the criteria promised, `dates` the limits.
    """

    sign: int = 0
    words: tuple[str, ...] = ()
    steps: tuple[float, ...] = ()
    topics: tuple[str, ...] = ()
    dates: tuple[str, ...] = ()
    whole: bool = True
    least: float | None = None
    # What a number is that nothing is wrong with, where zero is none.
    good: float = 0.0
    # Compared with the others at its place: worse is further out than all of them, by
    # a share of itself.
    outward: bool = False
    # The register says it too: worse is otherwise than there, by a share either way.
    otherwise: bool = False

    def of_value(
        self, value: float, random: Random, by: tuple[float, ...] = ()
    ) -> float:
        """Return a number that is worse by one of the steps."""
        step = random.choice(by or self.steps)
        if self.otherwise:
            return value * (1.0 + random.choice((-1.0, 1.0)) * step)
        sign = self.sign or (1 if value >= 0.0 else -1)
        found = value + sign * step
        return found if self.least is None else max(found, self.least)

    def of_word(self, word: str, random: Random) -> str:
        """Return a word that is worse; the same where none is."""
        worse = self.words[self.words.index(word) + 1 :] if word in self.words else ()
        return random.choice(worse) if worse else word


TABLE: Mapping[str, Worse] = {
    # What cannot heal.
    "rope_diameter": Worse(
        sign=-1,
        steps=(0.05, 0.3, 1.0, 3.0),
        topics=("rope diameter",),
        dates=("diameter_loss",),
        whole=False,
        least=1.0,
    ),
    "bottom_clearance": Worse(
        sign=-1,
        steps=(0.05, 0.3, 0.8, 2.0, 6.0),
        topics=SEAT,
        dates=("seat_depth",),
    ),
    "rope_crown_height": Worse(
        sign=-1,
        steps=(0.05, 0.3, 0.8, 2.0, 6.0),
        topics=SEAT,
        dates=("seat_depth",),
    ),
    "seat_band_width": Worse(
        sign=1,
        steps=(0.1, 0.5, 1.5, 4.0, 9.0),
        topics=SEAT,
        dates=("seat_depth",),
    ),
    "breaks_total": Worse(sign=1, steps=(1.0, 5.0, 20.0, 60.0, 180.0), topics=BREAKS),
    "breaks_worst_strand": Worse(sign=1, steps=(1.0, 4.0, 10.0, 40.0), topics=BREAKS),
    "breaks_adjacent": Worse(sign=1, steps=(1.0, 3.0, 10.0, 200.0), topics=BREAKS),
    "breaks_valley": Worse(sign=1, steps=(1.0, 3.0, 10.0), topics=BREAKS),
    "rouge": Worse(words=("none", "trace", "heavy"), topics=("rouge most", *BREAKS)),
    "rim_thickness": Worse(
        sign=-1, steps=(0.3, 2.0, 8.0), topics=("rim metal",), least=1.0
    ),
    "underside_runout": Worse(sign=1, steps=(0.3, 1.0, 4.0), topics=("rim metal",)),
    # What was seen.
    "slip_seen": Worse(words=("no", "yes"), topics=("rope slip",)),
    "brake_slide_seen": Worse(words=("no", "yes"), topics=("brake",)),
    "check": Worse(words=("pass", "defect"), topics=("check",)),
    # What has two sides.
    "rope_mark_offset": Worse(
        steps=(2.0, 20.0, 150.0, 500.0), topics=("creep over the sheave",)
    ),
    "levelling_error": Worse(steps=(3.0, 12.0, 30.0), topics=("levelling",)),
    # What is adjusted.
    "cwt_runby": Worse(
        sign=-1,
        steps=(20.0, 80.0, 300.0),
        topics=("counterweight run-by",),
        dates=("counterweight_runby",),
    ),
}
# What only some lives read, each life some of it.
FURTHER: Mapping[str, Worse] = {
    # What cannot heal.
    "breaks_two_worst_strands": Worse(sign=1, steps=(2.0, 8.0, 60.0), topics=BREAKS),
    "breaks_distribution": Worse(words=("even", "predominant"), topics=BREAKS),
    "rope_deformation": Worse(words=("none", "seen"), topics=("deformation most",)),
    "wires_worn_or_rusted": Worse(
        words=("none", "seen"), topics=("worn or rusted most", *BREAKS)
    ),
    "twist": Worse(words=("none", "seen"), topics=("twist most",)),
    "rope_crown_step": Worse(
        sign=1, steps=(0.3, 1.5, 5.0), topics=("step between crowns",)
    ),
    "seat_runout": Worse(
        sign=1,
        steps=(0.1, 0.4, 1.5),
        topics=("run-out of the seats", "room for a cut"),
    ),
    # What was seen.
    "traction_test": Worse(
        words=("held", "slipped"), topics=("traction test", "traction")
    ),
    # What is adjusted, or read anew.
    "car_runby": Worse(sign=-1, steps=(20.0, 80.0, 300.0), topics=("car run-by",)),
    "travel_speed": Worse(
        sign=1, steps=(0.03, 0.3, 3.0), topics=("car speed",), good=1.0
    ),
    "hardness": Worse(
        sign=-1, steps=(60.0, 120.0), topics=("rim hardness",), good=220.0
    ),
    "rope_tension": Worse(
        steps=(0.05, 0.3, 0.8), topics=TENSION, whole=False, outward=True
    ),
    "wave_time": Worse(
        steps=(0.05, 0.3, 0.8), topics=TENSION, whole=False, outward=True
    ),
    "spring_length": Worse(
        steps=(0.02, 0.2, 0.5), topics=TENSION, whole=False, outward=True
    ),
    # What the register says too.
    "car_mass": Worse(steps=(0.1, 0.3, 0.6), topics=MASSES, otherwise=True),
    "balance_load": Worse(steps=(0.1, 0.3, 0.6), topics=MASSES, otherwise=True),
}
# Of these the last visit counts, so that a later one ends what is bad.
READ_ANEW = (
    "car_runby",
    "cwt_runby",
    "travel_speed",
    "hardness",
    "rope_tension",
    "wave_time",
    "spring_length",
    "car_mass",
    "balance_load",
)
ALL: Mapping[str, Worse] = {**TABLE, **FURTHER}
# A word that ends nothing, by kind; another place, where the kind has one.
HEALING: Mapping[str, tuple[str, ...]] = {
    "slip_seen": ("no",),
    "brake_slide_seen": ("no",),
    "check": ("not seen", "pass"),
    "rouge": ("none",),
    "rope_deformation": ("none",),
    "wires_worn_or_rusted": ("none",),
    "twist": ("none",),
    "traction_test": ("held",),
    "breaks_distribution": ("even",),
}
# Counts and diameters at another station, window or mark: these end nothing either.
ELSEWHERE: Mapping[str, Mapping[str, str]] = {
    "rope_diameter": {"station": "elsewhere"},
    "breaks_total": {"window": "30d", "station": "elsewhere"},
    "breaks_worst_strand": {"window": "30d", "station": "elsewhere"},
    "breaks_two_worst_strands": {"window": "30d", "station": "elsewhere"},
    "rope_deformation": {"station": "elsewhere"},
    "wires_worn_or_rusted": {"station": "elsewhere"},
    "twist": {"station": "elsewhere"},
    "rope_mark_offset": {"round_trips": "5"},
}
# Register values that are worse for every criterion they work on: a drive that does not
# stop asks for more, a harder brake asks for more, a thicker rim must be left.
REGISTER: Mapping[str, tuple[tuple[str, object, object], ...]] = {
    "machine": (
        ("stalled_drive", "SAFETY_DEVICE", "ROPE_MUST_SLIP"),
        ("braking_deceleration_m_s2", 0.5, 1.0),
    ),
    "sheave": (("minimum_rim_mm", 12.0, 18.0),),
}
# Topics that a reading of a kind is judged by: silence there is no answer. What has a
# watch limit alone is told of once that is passed.
JUDGED: Mapping[str, str] = {
    "rope_diameter": "rope diameter",
    "breaks_total": "broken wires",
    "slip_seen": "rope slip",
    "brake_slide_seen": "brake",
    "levelling_error": "levelling",
    "rope_mark_offset": "creep over the sheave",
    "rim_thickness": "rim metal",
    "bottom_clearance": "bottom clearance",
    "cwt_runby": "counterweight run-by",
    "car_runby": "car run-by",
    "travel_speed": "car speed",
    "rope_deformation": "deformation most",
    "traction_test": "traction test",
    "hardness": "rim hardness",
    "rope_tension": "rope tension",
    "wave_time": "rope tension",
    "spring_length": "rope tension",
    "rope_crown_step": "step between crowns",
    "seat_runout": "run-out of the seats",
}
# These are answered for all of them together, wherever each was read.
TOGETHER = (
    "rope_tension",
    "wave_time",
    "spring_length",
    "rope_crown_step",
    "seat_runout",
)
