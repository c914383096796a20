"""Which faults are put back, and the lives in which each would be met."""

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from tests.histories import changes, estate, faults, faulty_rules
from tests.histories.faults import Faulty
from tests.histories.lean import READING_MASSES, Lean
from tests.histories.promises import Violation

# Estates of lives that are looked through at most for one fault.
ESTATES, LIVES, STEPS = 6, 6, 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """A fault, and the lives in which it would be met."""

    put_back: Faulty
    lean: Lean
    steps: int = STEPS


def _lean(**given: Any) -> Lean:
    """Return a lean towards one case: much goes wrong, and twins differ at once."""
    return Lean(**{"often": 0.9, "twins": 0.8, "sets": _WITH_LIMITS} | given)


# Sets that print a limit for everything that is read.
_WITH_LIMITS = ("EN_81_20", "EN_81_1_1998", "TSG_T7001", "GB_T_31821")
_ONLY_WORSE = (changes.WORSE,)
_ONLY_WORDS = (changes.HEALED,)
MUTANTS: Mapping[str, Mutant] = {
    "a stalled failure hides a real one": Mutant(
        put_back=faulty_rules.stalled_hides,
        # A light car with long ropes: they never slip, and do once the seats are worn.
        lean=_lean(
            forms=("V",),
            bad=("rope_crown_height",),
            worse_register=1.0,
            register=(("machine", "stalled_drive"),),
            given=(
                ("machine", "car_mass_kg", 450.0),
                ("machine", "rated_load_kg", 450.0),
                ("machine", "roping_ratio", 1),
                ("machine", "travel_m", 90.0),
                ("machine", "stalled_drive", "SAFETY_DEVICE"),
            ),
        ),
    ),
    "a deeper last reading erases the date": Mutant(
        put_back=faulty_rules.strays_erase_dates,
        lean=_lean(
            forms=("UNDERCUT", "V"),
            bad=("bottom_clearance", "rope_crown_height"),
            changes=_ONLY_WORSE,
            # A stray is one among others.
            since=3,
        ),
        steps=6,
    ),
    "a later count clears an earlier one": Mutant(
        put_back=faults.filtered(
            faults.latest_only(*faults.BREAKS, within=lambda r: r.rope_id)
        ),
        lean=_lean(bad=("breaks_total",), changes=_ONLY_WORDS, ways=("elsewhere",)),
    ),
    "many breaks are not told of where nobody saw how they lie": Mutant(
        put_back=faulty_rules.untold(faulty_rules.open_counts),
        lean=_lean(
            bad=("breaks_total",),
            changes=_ONLY_WORSE,
            sets=("TSG_T7001", "GB_T_31821"),
            by=(20.0,),
            never_read=tuple(kind for kind in faults.BREAKS if kind != "breaks_total"),
        ),
    ),
    "a count over 30 d may be none in a lay": Mutant(
        put_back=faulty_rules.nothing_in_thirty,
        lean=_lean(bad=("breaks_total",), changes=_ONLY_WORSE, near=1.0, otherwise=1.0),
    ),
    "a part above the total drops the count": Mutant(
        put_back=faults.filtered(faults.more_beside),
        lean=_lean(
            bad=("breaks_total",),
            worse=("breaks_adjacent",),
            changes=_ONLY_WORSE,
            near=1.0,
            above=1.0,
        ),
    ),
    "what was in order in the same visit clears a defect": Mutant(
        put_back=faults.filtered(faults.pass_beside),
        lean=_lean(
            bad=("slip_seen", "check", "brake_slide_seen"),
            changes=_ONLY_WORDS,
            ways=("beside",),
        ),
    ),
    "an offset is not told of without a modulus": Mutant(
        put_back=faulty_rules.untold(faulty_rules.creep_without_modulus),
        lean=_lean(
            bad=("rope_mark_offset",),
            register=(("rope_set", "modulus_mpa"),),
            worse_register=0.0,
            changes=(),
        ),
    ),
    "a later word clears a stop": Mutant(
        put_back=faulty_rules.unlatched,
        lean=_lean(
            bad=("slip_seen", "check", "brake_slide_seen"),
            changes=_ONLY_WORDS,
            ways=("word",),
        ),
    ),
    "a thicker reading elsewhere clears a condemned rope": Mutant(
        put_back=faults.filtered(faults.thickest),
        lean=_lean(bad=("rope_diameter",), changes=_ONLY_WORDS, ways=("elsewhere",)),
    ),
    "a diameter of some families is judged in silence": Mutant(
        put_back=faulty_rules.untold(faulty_rules.of_small_families),
        lean=_lean(sets=("ISO_4309", "ASME_A17_1", "MLIT_283")),
    ),
    "a run-out that was not read is none": Mutant(
        put_back=faults.filtered(faults.no_runout),
        # A rim with some metal to spare, and none with its run-out.
        lean=_lean(
            bad=("underside_runout",),
            changes=(changes.LESS_READ,),
            since=0,
            metal_over_mm=1.5,
            runout_mm=4.0,
            rim_marks="A",
        ),
    ),
    "offsets are averaged with their signs": Mutant(
        put_back=faults.filtered(faults.signed_mean),
        # One mark far to this side, and in a twin another as far to the other.
        lean=_lean(
            bad=("rope_mark_offset",),
            changes=_ONLY_WORSE,
            by=(300.0,),
            near=1.0,
            given=(("machine", "travel_m", 15.0),),
        ),
    ),
    "bands too wide for the route are no depth": Mutant(
        put_back=faults.filtered(faults.without_wide_bands),
        lean=_lean(forms=("V",), bad=("seat_band_width",), changes=_ONLY_WORSE),
    ),
    "what is missing of a groove is none": Mutant(
        put_back=faults.filtered(faults.silent_defaults),
        # An undercut that just may not hold, and would with a mouth that is closed.
        lean=_lean(
            forms=("UNDERCUT",),
            sets=("EN_81_20",),
            worse_register=0.0,
            register=(("geometry", "groove_angle_deg"),),
            given=(
                ("machine", "car_mass_kg", 560.0),
                ("machine", "rated_load_kg", 450.0),
                ("machine", "roping_ratio", 1),
                ("machine", "travel_m", 30.0),
                ("machine", "stalled_drive", "SAFETY_DEVICE"),
            ),
        ),
    ),
    "a braking that nobody registered is the code's": Mutant(
        put_back=faulty_rules.braking_by_the_code,
        # Undercuts that hold as the code supposes and not as the machine brakes.
        lean=_lean(
            forms=("UNDERCUT",),
            sets=("EN_81_20",),
            worse_register=0.0,
            register=(("machine", "braking_deceleration_m_s2"),),
            given=(
                ("machine", "car_mass_kg", 800.0),
                ("machine", "rated_load_kg", 450.0),
                ("machine", "roping_ratio", 1),
                ("machine", "travel_m", 30.0),
                ("machine", "stalled_drive", "SAFETY_DEVICE"),
                ("machine", "braking_deceleration_m_s2", 1.0),
            ),
        ),
    ),
    "a mass as read takes the place of the register's": Mutant(
        put_back=faults.filtered(faults.masses_as_read), lean=READING_MASSES
    ),
}


def is_caught(mutant: Mutant, *, estates: int = ESTATES, lives: int = LIVES) -> bool:
    """Return whether the histories tell a fault by what is not there without it.

    Each estate is lived until the fault shows, and as far again without it.
    """
    for seed in range(700, 700 + estates):
        with mutant.put_back():
            faulty, steps = _violations(seed, lives, mutant, mutant.steps, until=True)
        if faulty and faulty - _violations(seed, lives, mutant, steps)[0]:
            return True
    return False


def _violations(
    seed: int, lives: int, mutant: Mutant, steps: int, *, until: bool = False
) -> tuple[set[tuple[str, ...]], int]:
    """Return what is violated in an estate, each as what tells it apart, and when."""
    found: list[Violation] = []
    with estate.undone():
        lived = estate.begin(seed=seed, count=lives, lean=mutant.lean)
        random = Random(seed)
        made = 0
        while made < steps and not (found and until):
            found += lived.advance(random)
            made += 1
    return {(v.life, str(v.step), v.promise, v.change, v.where) for v in found}, made
