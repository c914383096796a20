"""What load cases, lines and sources of orders and costs are called."""

from collections.abc import Mapping

from inspections.reasons.terms import Term

ORDERS: Mapping[str, str] = {
    # What a report of work has to prove.
    Term.PROOF_CERTIFICATE: "the certificate of the rope set",
    Term.PROOF_DIAMETERS: "the diameter of the ropes as fitted",
    Term.PROOF_TENSIONS: "the rope tensions",
    Term.PROOF_SEATS: "the seat of every groove",
    Term.PROOF_RUNOUT: "the run-out of the seats",
    Term.PROOF_EQUALITY: "the difference of the grooves' diameters",
    Term.PROOF_RUNBY: "the run-by of the counterweight",
    # What a rope has inside.
    Term.CORE_FIBRE: "fibre core",
    Term.CORE_STEEL: "steel core",
    # Load cases, and what else sets a limit.
    Term.CASE_LOADING: "car being loaded to 125 %",
    Term.CASE_BRAKING_FULL: "full car braking on its way down",
    Term.CASE_BRAKING_EMPTY: "empty car braking on its way up",
    Term.CASE_STALLED_COUNTERWEIGHT: "counterweight landed, machine still turning",
    Term.CASE_STALLED_CAR: "car landed, machine still turning",
    Term.LIMIT_BOTTOMING: "rope reaching the bottom of its groove",
    Term.LIMIT_RIM_METAL: "metal under the groove",
    Term.LIMIT_ROPE_DIAMETER: "rope diameter",
    Term.LIMIT_RUNBY: "counterweight run-by",
    # What a cost cannot be said without.
    Term.PRICE_OF_HOUR: "price of an hour",
    Term.PRICE_OF_ROPE_SET: "price of a rope set, or of a metre of rope",
    Term.ROPES_NUMBER_AND_LENGTH: "number and length of the ropes",
    Term.PRICE_OF_RIM: "price of a rim",
    Term.PRICE_OF_SHEAVE: "price of a sheave",
    Term.PRICE_OF_LUBRICANT: "price of a lubricant",
    Term.PRICE_OF_HOISTING: "hoisting",
    Term.PRICE_OF_DAY_OUT: "price of a day out of service",
    Term.LEAD_TIMES: "lead times",
    Term.CURRENCY: "currency",
    Term.AN_OFFER: "an offer for it",
    # Lines of an order of a cut.
    Term.LINE_FORM: "groove form",
    Term.LINE_SEAT_RADIUS: "seat radius, never smaller",
    Term.LINE_SLOT_BOTTOM: "from a new rope to the slot's bottom, never less",
    Term.LINE_GROOVES: "number of grooves",
    Term.LINE_ROPE_DIAMETER: "nominal diameter of the ropes to be fitted",
    Term.LINE_RUNOUT: "run-out of the seats after the cut, at most D/2000",
    Term.LINE_LEAST_METAL: (
        "metal that must stay under every groove bottom, at every angle"
    ),
    Term.LINE_LEAST_DIAMETER: "least pitch diameter",
    Term.LINE_SLOT_DEPTH: "depth of the slot below its mouth",
    Term.LINE_SLOT_TAPER: "taper of the slot, each side",
    Term.LINE_FLAT_BOTTOM: "width of the flat bottom",
    Term.LINE_RIM_WIDTH: "width of the rim",
    Term.LINE_HARDNESS: "hardness as registered",
    Term.LINE_HARDENED_AGAIN: "depth to which the seats are hardened after the cut",
    Term.LINE_UNDERSIDE_RUNOUT: "run-out of the cast underside as read",
    Term.LINE_MATERIAL: "material",
    Term.LINE_RIM_CONSTRUCTION: "make of the rim",
    Term.LINE_DATUM_MARK: "how groove 1 and rim mark A are told",
    Term.CRACK_NOT_CHECKED: "not done",
    # Where a value or a rule is from.
    Term.OUR_RULE: "our rule",
    Term.COMMON_PRACTICE: "common practice, no source",
    Term.TOLERANCE_COMMON_PRACTICE: "tolerance common practice, no source",
    Term.SOURCE_REGISTER: "the register",
    Term.SOURCE_READINGS: "readings",
    Term.SOURCE_MAKER: "the maker's, as registered",
    Term.SOURCE_GEOMETRY: "geometry",
    Term.SOURCE_CUT_GEOMETRY: (
        "geometry of the turned rim; the maker's least metal and least diameter"
    ),
    Term.SOURCE_DERIVED: "derived",
    Term.SOURCE_TRIED: "a change that was tried",
    Term.SOURCE_DERIVED_SLOT: "derived: 2 r sin(β/2)",
    Term.SOURCE_DERIVED_DEEPEST: "derived from the deepest seat",
    Term.SOURCE_EQUALITY: "equality GB/T 24478-2009 (from memory)",
    Term.SOURCE_GB_T_24478: "GB/T 24478-2009 (from memory)",
}
