"""Which readings a finding asks for that could not be judged without them."""

from collections.abc import Iterator, Mapping

from inspections.models import Finding, Grade
from inspections.reasons import Code, Reason, Term, from_json

SEAT = (
    "bottom_clearance",
    "groove_bottom_depth",
    "seat_band_width",
    "rope_crown_height",
)
# What a reason names as missing -> the kinds of reading that tell it. What is not
# here is looked up or entered in the register, not read at a place.
BY_TERM: Mapping[str, tuple[str, ...]] = {
    Term.CAR_MASS: ("car_mass",),
    Term.BALANCE: ("balance_load",),
    Term.SEAT_RADIUS: ("seat_gauge_fit",),
    Term.SEAT_GAUGE: ("seat_gauge_fit",),
    Term.SEAT_DEPTH: SEAT,
    Term.SEAT_DEPTHS: SEAT,
    Term.SEAT_DEPTHS_BOTH: SEAT,
    Term.SEAT_DEPTHS_OR_DIAMETERS: (*SEAT, "rope_diameter"),
    Term.DEEPEST_SEAT: SEAT,
    Term.ROPE_DIAMETER: ("rope_diameter",),
    Term.DIAMETER_READING: ("rope_diameter",),
    Term.SECOND_DIRECTION: ("rope_diameter",),
    Term.BREAKS_COUNT: ("breaks_total",),
    Term.BREAKS_IN_LAY: ("breaks_total",),
    Term.BREAKS_IN_LAY_NOT_30_D: ("breaks_total",),
    Term.BREAKS_OF_STRAND: ("breaks_worst_strand",),
    Term.BREAKS_OF_STRAND_NOT_30_D: ("breaks_worst_strand",),
    Term.BREAKS_OF_TWO_STRANDS: ("breaks_two_worst_strands",),
    Term.BREAKS_OF_TWO_STRANDS_NOT_30_D: ("breaks_two_worst_strands",),
    Term.BREAKS_LIE: ("breaks_distribution", "breaks_worst_strand"),
    Term.WIRES_WORN: ("wires_worn_or_rusted",),
    Term.UNWORN_DIAMETER: ("rope_diameter_unworn",),
    Term.ADJACENT_BREAKS: ("breaks_adjacent",),
    Term.ADJACENT_BREAKS_NOT_30_D: ("breaks_adjacent",),
    Term.CROWN_GROUP: ("breaks_adjacent",),
    Term.VALLEY_BREAKS: ("breaks_valley",),
    Term.VALLEY_BREAKS_NOT_30_D: ("breaks_valley",),
    Term.ROUGE_SEEN: ("rouge",),
    Term.ROUGE_OR_NONE: ("rouge",),
    Term.ROUGE_AND_WEAR: ("rouge", "wires_worn_or_rusted"),
    Term.CROWN_WIRE_FLAT: ("crown_wire_flat",),
    Term.LAY_LENGTHS: ("lay_length",),
    Term.TEST_LOAD: ("traction_test",),
    Term.TEST_SPEED: ("traction_test",),
    Term.TEST_DISTANCE: ("traction_test",),
    Term.ROPE_TENSIONS: ("rope_tension",),
    Term.TENSIONS_BOTTOM_AND_TOP: ("rope_tension",),
    Term.EMPTY_CAR_OFFSETS: ("rope_mark_offset",),
    Term.COUNTERWEIGHT_RUNBY: ("cwt_runby",),
    Term.CAR_RUNBY: ("car_runby",),
    Term.RIM_SURVEY: ("rim_thickness",),
    Term.RIM_SURVEY_SINCE_CUT: ("rim_thickness",),
    Term.RUNOUT_UNDERSIDE: ("underside_runout",),
    Term.BOTTOM_DEPTHS: ("groove_bottom_depth",),
    Term.METAL_OF_RIM: ("rim_thickness",),
    Term.HARDNESS: ("hardness",),
}
# Reasons that ask for a reading as a whole.
BY_CODE: Mapping[Code, tuple[str, ...]] = {
    Code.NO_SEAT_DEPTH: (*SEAT, "rope_diameter"),
    Code.SEAT_AT_BOTTOM_OF: SEAT,
    Code.METAL_OR_SEAT_OF_GROOVE: (*SEAT, "rim_thickness"),
    Code.THICKNESS_ON_SIDE: ("rim_thickness",),
    Code.ROPES_READ: ("rope_tension",),
    Code.NOT_SEEN: ("check",),
}
_NAMING = (Code.MISSING, Code.STILL_MISSING, Code.LIMIT_BETWEEN)


def kinds(finding: Finding) -> frozenset[str]:
    """Return the kinds of reading for lack of which a finding could not be judged."""
    said = from_json(finding.said)
    if finding.grade != Grade.NOT_ASSESSED or said is None:
        return frozenset()
    return frozenset(_kinds(said))


def _kinds(said: Reason) -> Iterator[str]:
    """Yield what each sentence asks for; not what one criterion of several lacks."""
    for reason in (said, *said.also):
        yield from _of_code(reason)
        items = reason.get("items")
        if reason.code in _NAMING and isinstance(items, tuple):
            for item in items:
                if isinstance(item, Reason):
                    yield from _of_code(item)
                elif isinstance(item, str):
                    yield from BY_TERM.get(item, ())


def _of_code(reason: Reason) -> tuple[str, ...]:
    return BY_CODE.get(reason.code, ()) if isinstance(reason.code, Code) else ()
