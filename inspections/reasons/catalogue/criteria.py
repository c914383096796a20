"""What a criterion of a set is called."""

from collections.abc import Mapping

from inspections.reasons.criteria import Criterion

CRITERIA: Mapping[str, str] = {
    Criterion.ROPES_LEAST: "number of ropes",
    Criterion.ROPE_DIAMETER_LEAST: "nominal rope diameter",
    Criterion.DIAMETER_RATIO_LEAST: "sheave diameter over rope diameter",
    Criterion.ROPING_MOST: "roping ratio",
    Criterion.UNDERCUT_ANGLE_MOST: "undercut angle",
    Criterion.SAFETY_FACTOR_THREE_ROPES: "safety factor, three or more ropes",
    Criterion.SAFETY_FACTOR_TWO_ROPES: "safety factor, two ropes",
    Criterion.BREAKS_EVEN: "broken wires in a lay, spread evenly",
    Criterion.BREAKS_EVEN_MONTHLY: (
        "broken wires in a lay, spread evenly, inspected monthly"
    ),
    Criterion.BREAKS_PREDOMINANT: (
        "broken wires in a lay, one or two strands predominating"
    ),
    Criterion.BREAKS_PREDOMINANT_MONTHLY: (
        "broken wires in a lay, one or two strands predominating, inspected monthly"
    ),
    Criterion.BREAKS_IN_TWO_STRANDS: "broken wires of a lay in one or two strands",
    Criterion.BREAKS_IN_ONE_STRAND: "broken wires of a lay in one strand",
    Criterion.BREAKS_IN_ONE_STRAND_EVEN: (
        "broken wires of a lay in one strand, spread evenly"
    ),
    Criterion.BREAKS_IN_ONE_STRAND_WORN: (
        "broken wires of a lay in one strand, wires worn to 70 % of their area or "
        "heavily rusted"
    ),
    Criterion.BREAKS_IN_ONE_STRAND_ROUGE: (
        "broken wires of a lay in one strand, with rouge"
    ),
    Criterion.BREAKS_ADJACENT: "adjacent broken wires in a strand",
    Criterion.BREAKS_CROWN_GROUP: (
        "broken wires in a lay, four or five adjacent across a crown"
    ),
    Criterion.BREAKS_CROWN_GROUP_MONTHLY: (
        "broken wires in a lay, four or five adjacent across a crown, inspected monthly"
    ),
    Criterion.BREAKS_VALLEY: "broken wires in the valleys of a lay",
    Criterion.BREAKS_EVEN_WATCH: "broken wires in a lay, spread evenly (watch)",
    Criterion.BREAKS_IN_TWO_STRANDS_WATCH: (
        "broken wires of a lay in one or two strands (watch)"
    ),
    Criterion.BREAKS_ADJACENT_WATCH: "adjacent broken wires in a strand (watch)",
    Criterion.BREAKS_VALLEY_WATCH: "broken wires in the valleys of a lay (watch)",
    Criterion.BREAKS_SHARE_OF_LAY: "share of all wires broken in a lay",
    Criterion.BREAKS_SHARE_OF_STRAND: "share of a strand's wires broken in a lay",
    Criterion.BREAKS_UNFAVOURABLE_FACTOR: (
        "factor on the broken-wire limits with rouge or heavy wear"
    ),
    Criterion.DIAMETER_REDUCTION_NOMINAL: "loss of rope diameter against nominal",
    Criterion.DIAMETER_REDUCTION_UNWORN: (
        "loss of rope diameter against the unworn part"
    ),
    Criterion.DIAMETER_REDUCTION_UNWORN_WATCH: (
        "loss of rope diameter against the unworn part (watch)"
    ),
    Criterion.DIAMETER_REDUCTION_ROUGE: (
        "loss of rope diameter against the unworn part, with rouge"
    ),
    Criterion.DIAMETER_LEAST: "rope diameter",
    Criterion.DIAMETER_LEAST_ROUGE: "rope diameter, with rouge",
    Criterion.DIAMETER_LOSS_MOST: "loss of rope diameter against nominal",
    Criterion.ROUGE_MOST: "rouge (0 none, 1 trace, 2 heavy)",
    Criterion.OUTER_WIRE_WEAR: "wear of an outer wire's diameter",
    Criterion.CROWN_FLAT_SEALE: "crown wire flat, 8xS(19)",
    Criterion.CROWN_FLAT_WARRINGTON: "crown wire flat, 6xW(19)",
    Criterion.CROWN_FLAT_FILLER: "crown wire flat, 8xFi(25)",
    Criterion.LAY_LENGTH_GROWTH: "growth of the lay length",
    Criterion.DEFORMATION_MOST: "birdcage, kink or core standing out (1 seen)",
    Criterion.WORN_OR_RUSTED_MOST: "wires worn or heavily rusted (1 seen)",
    Criterion.TWIST_MOST: "twist of the rope (1 seen)",
    Criterion.DRYNESS_MOST: "dry rope (1 dry)",
    Criterion.WETNESS_MOST: "rope wet with lubricant (1 wet)",
    Criterion.TENSION_SPREAD: "highest over lowest rope tension, less one",
    Criterion.TENSION_DEVIATION: "rope tension off the mean",
    Criterion.TENSION_SPREAD_MOST: (
        "highest over lowest rope tension, less one, to be acted on"
    ),
    Criterion.TENSION_SLACK_LEAST: "lowest rope tension over the mean",
    Criterion.COUNTERWEIGHT_RUNBY_LEAST: "counterweight run-by",
    Criterion.CAR_RUNBY_LEAST: "car run-by",
    Criterion.SPEED_LEAST: "car speed against rated",
    Criterion.SPEED_MOST: "car speed against rated",
    Criterion.BOTTOM_CLEARANCE_LEAST: "clearance to the groove bottom",
    Criterion.HARDNESS_LEAST: "hardness of the rim",
    Criterion.HARDNESS_SPREAD_MOST: "spread of rim hardness",
    Criterion.GROOVE_DIAMETER_SPREAD_NEW: (
        "difference of pitch diameter between grooves as machined"
    ),
    Criterion.SEAT_RUNOUT_SHARE_NEW: "seat run-out over sheave diameter as machined",
    Criterion.GROOVE_DEPTH_SPREAD: (
        "difference of seat depth in a set over rope diameter"
    ),
}
