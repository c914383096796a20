"""What *worse* means: one row for each kind of reading that is promised for.

Worse is said of a criterion at a place, never of the machine as a whole: a rope that is
read thinner makes the depth under its crown shallower, so its diameter promises nothing
of traction. `whole` says that a kind works on nothing else, so that the machine's state
and stops are promised too.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random

SEAT = (
    "traction",
    "bottom clearance",
    "hardened layer",
    "seat depth",
)
BREAKS = ("broken wires",)
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

    def of_value(self, value: float, random: Random) -> float:
        """Return a number that is worse."""
        by = random.choice(self.steps)
        sign = self.sign or (1 if value >= 0.0 else -1)
        found = value + sign * by
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
    "rouge": Worse(words=("none", "trace", "heavy"), topics=("rouge", *BREAKS)),
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
    "cwt_runby": Worse(sign=-1, steps=(20.0, 80.0, 300.0), topics=("cwt runby",)),
}
# A word that ends nothing, by kind; another place, where the kind has one.
HEALING: Mapping[str, tuple[str, ...]] = {
    "slip_seen": ("no",),
    "brake_slide_seen": ("no",),
    "check": ("not seen", "pass"),
    "rouge": ("none",),
}
# Counts and diameters at another station, window or mark: these end nothing either.
ELSEWHERE: Mapping[str, Mapping[str, str]] = {
    "rope_diameter": {"station": "elsewhere"},
    "breaks_total": {"window": "30d", "station": "elsewhere"},
    "breaks_worst_strand": {"window": "30d", "station": "elsewhere"},
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
# Topics that a reading of a kind is judged by: silence there is no answer.
JUDGED: Mapping[str, str] = {
    "rope_diameter": "rope diameter",
    "breaks_total": "broken wires",
    "slip_seen": "rope slip",
    "brake_slide_seen": "brake",
    "levelling_error": "levelling",
    "rope_mark_offset": "creep over the sheave",
    "rim_thickness": "rim metal",
    "bottom_clearance": "bottom clearance",
}
