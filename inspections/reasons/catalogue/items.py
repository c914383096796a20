"""What things are called that reasons name."""

from collections.abc import Mapping

from inspections.reasons.terms import Term

ITEMS: Mapping[str, str] = {
    # The register: machine, sheave, grooves, ropes.
    Term.CAR_MASS: "car mass",
    Term.RATED_LOAD: "rated load",
    Term.RATED_SPEED: "rated speed",
    Term.TRAVEL: "travel",
    Term.BALANCE: "balance or counterweight mass",
    Term.COMPENSATION: "compensation (0 if there is none)",
    Term.TRAVELLING_CABLE: "travelling cable (0 if negligible)",
    Term.METHOD_ABOVE_2_TO_1: "a method for roping above 2:1",
    Term.METHOD_FOR_LINED: "a method for lined grooves: only bare metal is assessed",
    Term.METHOD_FOR_COATED: (
        "a method for coated ropes and belts: only steel wire ropes"
    ),
    Term.DRIVE_SHEAVE: "the drive sheave fitted today",
    Term.GROOVE_FORM: "the groove's form as cut",
    Term.ROPE_SET: "the rope set fitted today",
    Term.GROOVE_ANGLE: "groove angle",
    Term.SEAT_RADIUS: "seat radius",
    Term.UNDERCUT_ANGLE: "undercut angle",
    Term.WRAP: "wrap angle, or offset and drop of the deflector",
    Term.PITCH_DIAMETER: "pitch diameter",
    Term.PITCH_DIAMETER_OR_ROPE_SET: "pitch diameter or rope set",
    Term.ROPE_CONSTRUCTION: (
        "rope construction and core, or a construction with factors"
    ),
    Term.ROPE_GRADE: "rope grade",
    Term.ROPE_STIFFNESS: "the ropes' modulus or metallic area",
    Term.ROPE_STRENGTH: "the ropes' strength",
    Term.GROOVE_AS_CUT: "the groove as cut",
    Term.MASSES_AND_GROOVE: "masses and groove",
    Term.GROOVE_OR_MASSES: "groove or masses",
    Term.WIRES_AND_STRANDS: "number of wires and strands",
    Term.EQUIVALENT_PULLEYS: "equivalent number of pulleys",
    Term.ROPE_SPEED: "rope speed",
    Term.LOADING_CASE: "a loading case in the set",
    Term.SECONDARY_SHEAVE: "the secondary sheave, with its offset and drop",
    Term.SECONDARY_PLACE: "offset and drop of the secondary sheave",
    Term.SECONDARY_PLACE_POSSIBLE: (
        "an offset and drop of the secondary sheave that can be"
    ),
    Term.SHEAVE_GROOVES: "the grooves of the sheave",
    # Readings of seats and grooves.
    Term.SEAT_DEPTH: "the seat depth of the rope's groove",
    Term.SEAT_DEPTHS: "depth of the seats",
    Term.SEAT_DEPTHS_BOTH: "seat depths of both grooves, found in the same way",
    Term.SEAT_DEPTHS_OR_DIAMETERS: "seat depths, rope set or pitch diameters",
    Term.DEEPEST_SEAT: "the depth of the deepest seat more closely",
    Term.SEAT_GAUGE: "the seat's radius by gauge",
    Term.PULLEY_GROOVES: "the depth of each groove of the pulley",
    Term.PULLEY_REGISTERED: "the pulley in the register",
    # Readings of ropes.
    Term.ROPE_DIAMETER: "rope diameter",
    Term.DIAMETER_READING: "no diameter reading",
    Term.UNWORN_DIAMETER: "diameter of the unworn part",
    Term.SECOND_DIRECTION: "the diameter in the second direction",
    Term.BREAKS_COUNT: "no count of broken wires",
    Term.BREAKS_IN_LAY: "breaks in the worst lay",
    Term.BREAKS_OF_STRAND: "breaks in the worst strand",
    Term.BREAKS_OF_TWO_STRANDS: "breaks in the two worst strands",
    Term.ADJACENT_BREAKS: "adjacent breaks",
    Term.VALLEY_BREAKS: "valley breaks",
    Term.BREAKS_IN_LAY_NOT_30_D: "breaks in the worst lay within one lay, not 30 d",
    Term.BREAKS_OF_STRAND_NOT_30_D: (
        "breaks in the worst strand within one lay, not 30 d"
    ),
    Term.BREAKS_OF_TWO_STRANDS_NOT_30_D: (
        "breaks in the two worst strands within one lay, not 30 d"
    ),
    Term.ADJACENT_BREAKS_NOT_30_D: "adjacent breaks within one lay, not 30 d",
    Term.VALLEY_BREAKS_NOT_30_D: "valley breaks within one lay, not 30 d",
    Term.BREAKS_LIE: "how the breaks lie",
    Term.CROWN_GROUP: "adjacent breaks across a crown",
    Term.WIRES_WORN: "wear and rust of the wires",
    Term.ROUGE_SEEN: "rouge",
    Term.ROUGE_OR_NONE: "rouge or none",
    Term.ROUGE_AND_WEAR: "rouge and wear of the wires",
    Term.OUTER_WIRE_WEAR_SEEN: "wear of an outer wire",
    Term.CROWN_WIRE_FLAT: "flat of a crown wire",
    Term.LAY_LENGTHS: "lay length now and as fitted",
    Term.READING: "no reading",
    Term.TEST_LOAD: "the load in the car at the test",
    Term.TEST_SPEED: "the car's speed at the test",
    Term.TEST_DISTANCE: "the distance to standstill, or how far the ropes slid",
    Term.ROPE_TENSIONS: "rope tensions",
    Term.TENSIONS_BOTTOM_AND_TOP: "tensions of every rope at bottom and top",
    Term.EMPTY_CAR_OFFSETS: "offsets after round trips with the empty car",
    Term.FRAME_MARK_KEPT: (
        "a sheave that kept its mark on the frame: it moved, and a sliding brake "
        "reads as a slipping rope; check the brake"
    ),
    Term.COUNTERWEIGHT_RUNBY: "counterweight run-by",
    Term.CAR_RUNBY: "car run-by",
    # Readings of the rim, and what a cut rests on.
    Term.RIM_SURVEY: "a rim survey: thickness at one or more places",
    Term.RIM_SURVEY_SINCE_CUT: "a rim survey since the grooves were last cut",
    Term.RUNOUT_UNDERSIDE: "run-out of the cast underside",
    Term.WEB_PLACE: "place of the web",
    Term.DRAFT_UNDERSIDE: "the draft of the underside, or thickness at two places",
    Term.BOTTOM_DEPTHS: "the depth of the groove bottoms below the rim",
    Term.BOLT_HOLES: (
        "the bolt holes of the bolted rim (circle, holes, where they begin and end, "
        "diameter over the lands)"
    ),
    Term.METAL_OF_RIM: "metal of the rim",
    Term.LEAST_METAL: "the maker's least metal",
    Term.LEAST_DIAMETER: "the maker's least diameter",
    Term.CRACK_CHECK: "crack check",
    Term.HARDNESS: "hardness",
    Term.TRACTION_AFTER_CUT: "traction and pressure after the cut",
    Term.MASSES: "masses",
    # Sides of a limit.
    Term.AT_MOST: "at most",
    Term.BELOW: "below",
    Term.AT_LEAST: "at least",
    Term.ABOVE: "above",
    # Ways of measuring a seat.
    Term.ROUTE_CLEARANCE: "clearance",
    Term.ROUTE_SEAT_BAND: "seat band",
    Term.ROUTE_CROWN_HEIGHT: "crown height",
    Term.ROUTE_CROWN_STEP: "crown step",
    # What a car hangs on.
    Term.STEEL_ROPE: "bare steel rope",
    Term.COATED_ROPE: "coated rope",
    Term.SYNTHETIC_ROPE: "synthetic rope",
    Term.BELT: "belt",
    # What ropes of one set can differ in.
    Term.GRADE: "grade",
    Term.LAY: "lay",
    # What a reading of the eye says.
    Term.YES: "yes",
    Term.NO: "no",
    Term.PASS: "no defect seen",
    Term.HELD: "the ropes held",
    Term.SLIPPED: "the ropes slipped",
    Term.DEFECT: "defect",
    # Which of two is used.
    Term.BY_READING: "the reading",
    Term.BY_REGISTER: "the register",
    Term.BY_LATER_READING: "the later reading",
    # What can be said of a cut.
    Term.DOES_NOT_FIT: "does not fit",
    Term.BLOCKED_AS_IT_STANDS: "blocked as it stands",
    Term.CUT_NOT_ASSESSED: "not assessed",
    Term.FITS_STRENGTH_OPEN: "fits geometrically, strength not confirmed",
    Term.FITS: "fits by geometry and by the maker's minimum",
    # What a finding is held against where no criteria set has a limit.
    Term.OFFSET_OF_MARKS: "offset of rope marks after one round trip, empty car",
    Term.CALIBRATED: "calibrated when it was used",
    Term.LAYER_LEFT: "depth of the seat against the depth of the hardened layer",
    Term.METAL_AFTER_CUT: "metal under the thinnest groove after a cut, worst case",
    Term.PAIR_DIFFERENCE: (
        "difference of seat depth between the two grooves of one rope"
    ),
    Term.PRESSURE_AS_NEW: "specific pressure of the groove as new",
    Term.AGREES_WITH_REGISTER: "what is read agrees with the register",
    Term.LEAST_METAL_LEFT: "worst case of metal under the thinnest groove",
    Term.RADIUS_RATIO: "rope radius over seat radius",
    Term.LEVELLING_ERROR: "levelling error",
    Term.SHARE_CHANGE: "change of a rope's share of the load between bottom and top",
    Term.ROUTE_DIFFERENCE: "difference between two ways of measuring one seat",
    Term.SEEN_BY_EYE: "seen by eye",
    # Worn quantities, and what can be said of a forecast.
    Term.QUANTITY_SEAT_DEPTH: "seat depth",
    Term.QUANTITY_DIAMETER_LOSS: "diameter loss",
    Term.QUANTITY_COUNTERWEIGHT_RUNBY: "counterweight run-by",
    Term.QUANTITY_PULLEY_GROOVE_SPREAD: "difference of a pulley's grooves",
    Term.QUANTITY_BROKEN_WIRES: "broken wires",
    Term.STATE_NONE: "no forecast",
    Term.STATE_PRIOR_ONLY: "from other machines only",
    Term.STATE_PROVISIONAL: "provisional",
}
