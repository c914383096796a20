"""What the steps of a worklist, and the causes of stops, are called."""

from collections.abc import Mapping

from inspections.reasons.terms import Term

STEPS: Mapping[str, str] = {
    Term.STEP_SEEN_RUNNING: "seen and counted before the machine is stopped",
    Term.STEP_RUN_BY: "run-by at both ends",
    Term.STEP_WIRES: (
        "broken wires, rouge and lubrication by eye and rag, ropes stopped"
    ),
    Term.STEP_DIAMETERS: "rope diameters over the strand crowns",
    Term.STEP_CROWNS: "rope crowns against rim and straightedge",
    Term.STEP_OPEN_ARC: "grooves at the open arc, cleaned first: bands, bottom, gauge",
    Term.STEP_PARTS: "parts looked at",
    Term.STEP_TENSIONS: "rope tensions at bottom and top after a run without a stop",
    Term.STEP_SLIP_TEST: "slip and rope marks, two people",
    Term.STEP_MASSES: "balance and car mass, with weights",
    Term.STEP_RIM: (
        "rim thickness round the wheel at two axial places, secured, two people"
    ),
    Term.STEP_PULLEYS: "grooves of deflectors, pulleys and the secondary sheave",
    Term.STEP_HARDNESS: "hardness of the rim lands",
    Term.STEP_CRACKS: "cracks, rim bolts, hub, spokes and keyway, with dye",
    Term.STEP_ONCE_MORE: "readings that wait to be confirmed",
    # Why a machine stands; a test compares these with the stops' own list.
    Term.CAUSE_ROPE_SLIP: "the ropes were seen to slip",
    Term.CAUSE_MARKS_SLIP: "rope marks moved more than creep explains",
    Term.CAUSE_SLIP_TEST_FAILED: "a slip test was not passed",
    Term.CAUSE_TRACTION: "traction is below what the load cases ask",
    Term.CAUSE_BRAKE_SLIDES: "the brake was seen to slide",
    Term.CAUSE_BRAKE_DEFECT: "the brake has a defect",
    Term.CAUSE_CRACK: "a crack was seen",
    Term.CAUSE_FASTENING_DEFECT: "a rope fastening has a defect",
    Term.CAUSE_PART_DEFECT: "a part has a defect",
    Term.CAUSE_ROPE_BOTTOMS: "a rope has no clearance to its groove's bottom",
    Term.CAUSE_BROKEN_WIRES: "broken wires are beyond the limit",
    Term.CAUSE_ROPE_DIAMETER: "a rope is thinner than its limit",
    Term.CAUSE_ROPE_DISCARD: "a rope is to be discarded",
    Term.CAUSE_OTHER: "a finding takes the machine out of service",
}
