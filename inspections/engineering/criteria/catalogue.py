"""The closed list of what a criteria set may limit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inspections.engineering.limit import Bound, Limit, Stage
from inspections.engineering.source import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """What a key means: words, unit and the side that is in order."""

    words: str
    unit: str
    bound: Bound
    stage: Stage = Stage.LIMIT


def _most(words: str, unit: str, stage: Stage = Stage.LIMIT) -> Definition:
    return Definition(words=words, unit=unit, bound=Bound.AT_MOST, stage=stage)


def _least(words: str, unit: str, stage: Stage = Stage.LIMIT) -> Definition:
    return Definition(words=words, unit=unit, bound=Bound.AT_LEAST, stage=stage)


_WATCH = Stage.WATCH

DEFINITIONS: Mapping[str, Definition] = {
    # The machine as built.
    "ropes_least": _least("number of ropes", "ropes"),
    "rope_diameter_least": _least("nominal rope diameter", "mm"),
    "diameter_ratio_least": _least("sheave diameter over rope diameter", "-"),
    "roping_most": _most("roping ratio", "-"),
    "undercut_angle_most": _most("undercut angle", "deg"),
    "safety_factor_three_ropes": _least("safety factor, three or more ropes", "-"),
    "safety_factor_two_ropes": _least("safety factor, two ropes", "-"),
    # Broken wires in the worst lay.
    "breaks_even": _most("broken wires in a lay, spread evenly", "wires"),
    "breaks_even_monthly": _most(
        "broken wires in a lay, spread evenly, inspected monthly", "wires"
    ),
    "breaks_predominant": _most(
        "broken wires in a lay, one or two strands predominating", "wires"
    ),
    "breaks_predominant_monthly": _most(
        "broken wires in a lay, one or two strands predominating, inspected monthly",
        "wires",
    ),
    "breaks_in_two_strands": _most(
        "broken wires of a lay in one or two strands", "wires"
    ),
    "breaks_in_one_strand": _most("broken wires of a lay in one strand", "wires"),
    "breaks_in_one_strand_even": _most(
        "broken wires of a lay in one strand, spread evenly", "wires"
    ),
    "breaks_in_one_strand_worn": _most(
        "broken wires of a lay in one strand, wires worn to 70 % of their area "
        "or heavily rusted",
        "wires",
    ),
    "breaks_in_one_strand_rouge": _most(
        "broken wires of a lay in one strand, with rouge", "wires"
    ),
    "breaks_adjacent": _most("adjacent broken wires in a strand", "wires"),
    "breaks_crown_group": _most(
        "broken wires in a lay, four or five adjacent across a crown", "wires"
    ),
    "breaks_crown_group_monthly": _most(
        "broken wires in a lay, four or five adjacent across a crown, "
        "inspected monthly",
        "wires",
    ),
    "breaks_valley": _most("broken wires in the valleys of a lay", "wires"),
    "breaks_even_watch": _most(
        "broken wires in a lay, spread evenly (watch)", "wires", _WATCH
    ),
    "breaks_in_two_strands_watch": _most(
        "broken wires of a lay in one or two strands (watch)", "wires", _WATCH
    ),
    "breaks_adjacent_watch": _most(
        "adjacent broken wires in a strand (watch)", "wires", _WATCH
    ),
    "breaks_valley_watch": _most(
        "broken wires in the valleys of a lay (watch)", "wires", _WATCH
    ),
    "breaks_share_of_lay": _most("share of all wires broken in a lay", "%"),
    "breaks_share_of_strand": _most("share of a strand's wires broken in a lay", "%"),
    "breaks_unfavourable_factor": _most(
        "factor on the broken-wire limits with rouge or heavy wear", "-"
    ),
    # Diameter.
    "diameter_reduction_nominal": _most("loss of rope diameter against nominal", "%"),
    "diameter_reduction_unworn": _most(
        "loss of rope diameter against the unworn part", "%"
    ),
    "diameter_reduction_unworn_watch": _most(
        "loss of rope diameter against the unworn part (watch)", "%", _WATCH
    ),
    "diameter_reduction_rouge": _most(
        "loss of rope diameter against the unworn part, with rouge", "%"
    ),
    "diameter_least": _least("rope diameter", "mm"),
    "diameter_least_rouge": _least("rope diameter, with rouge", "mm"),
    "diameter_loss_most": _most("loss of rope diameter against nominal", "mm"),
    # Surface and structure of the rope.
    "rouge_most": _most("rouge (0 none, 1 trace, 2 heavy)", "grade"),
    "outer_wire_wear": _most("wear of an outer wire's diameter", "%"),
    "crown_flat_seale": Definition(
        words="crown wire flat, 8xS(19)", unit="mm", bound=Bound.BELOW
    ),
    "crown_flat_warrington": Definition(
        words="crown wire flat, 6xW(19)", unit="mm", bound=Bound.BELOW
    ),
    "crown_flat_filler": Definition(
        words="crown wire flat, 8xFi(25)", unit="mm", bound=Bound.BELOW
    ),
    "lay_length_growth": _most("growth of the lay length", "%", _WATCH),
    # The set and the machine in service.
    "tension_spread": _most("highest over lowest rope tension, less one", "%", _WATCH),
    "tension_deviation": _most("rope tension off the mean", "%", _WATCH),
    "counterweight_runby_least": _least("counterweight run-by", "mm"),
    "car_runby_least": _least("car run-by", "mm"),
    "speed_least": _least("car speed against rated", "%"),
    "speed_most": _most("car speed against rated", "%"),
    # The sheave.
    "bottom_clearance_least": _least("clearance to the groove bottom", "mm"),
    "hardness_least": _least("hardness of the rim", "HB", _WATCH),
    "hardness_spread_most": _most("spread of rim hardness", "HB", _WATCH),
    "groove_diameter_spread_new": _most(
        "difference of pitch diameter between grooves as machined", "mm"
    ),
    "seat_runout_share_new": _most(
        "seat run-out over sheave diameter as machined", "%"
    ),
    "groove_depth_spread": _most(
        "difference of seat depth in a set over rope diameter", "%", _WATCH
    ),
}


def row(
    *,
    key: str,
    value: float | None,
    source: Source,
    strands: int | None = None,
    nominal_mm: float | None = None,
    bound: Bound | None = None,
    note: str = "",
) -> Limit:
    """Return one limit of the closed list.

    Parameters
    ----------
    key : a key of DEFINITIONS
    value : the limit [unit of the key], None for a gap
    source : where the number was read and how sure that is
    strands : the number of strands the row holds for [-], None for all
    nominal_mm : d, the nominal rope diameter the row holds for [mm], None for all
    bound : the side in order where a source words it otherwise than the list does
    note : a condition a reader must know

    Raises KeyError for a key outside the closed list.

    Source: own bookkeeping.

    >>> from inspections.engineering.source import Certainty
    >>> printed = Source(document="30 CFR 56.19024", certainty=Certainty.CONFIRMED)
    >>> row(key="breaks_valley", value=1.0, source=printed).bound
    <Bound.AT_MOST: 'at most'>
    """
    meaning = DEFINITIONS[key]
    return Limit(
        key=key,
        words=meaning.words,
        value=None if value is None else float(value),
        unit=meaning.unit,
        bound=meaning.bound if bound is None else bound,
        stage=meaning.stage,
        source=source,
        strands=strands,
        nominal_mm=nominal_mm,
        note=note,
    )


def by_strands(
    *, key: str, values: Mapping[int, float], source: Source
) -> tuple[Limit, ...]:
    """Return one limit for each number of strands.

    Parameters
    ----------
    key : a key of DEFINITIONS
    values : number of strands to limit [unit of the key]
    source : where the numbers were read and how sure that is

    Raises KeyError for a key outside the closed list.

    Source: own bookkeeping.

    >>> from inspections.engineering.source import Certainty
    >>> printed = Source(document="MLIT Notice 283", certainty=Certainty.CONFIRMED)
    >>> [each.name for each in by_strands(
    ...     key="breaks_even", values={6: 24.0, 8: 32.0}, source=printed)]
    ['breaks_even/6', 'breaks_even/8']
    """
    return tuple(
        row(key=key, value=value, source=source, strands=strands)
        for strands, value in values.items()
    )


def by_nominal(
    *, key: str, values: Iterable[tuple[float, float]], source: Source
) -> tuple[Limit, ...]:
    """Return one limit for each nominal rope diameter.

    Parameters
    ----------
    key : a key of DEFINITIONS
    values : pairs of nominal diameter [mm] and limit [unit of the key]
    source : where the numbers were read and how sure that is

    Raises KeyError for a key outside the closed list.

    Source: own bookkeeping.

    >>> from inspections.engineering.source import Certainty
    >>> printed = Source(document="MLIT Notice 283", certainty=Certainty.CONFIRMED)
    >>> by_nominal(key="crown_flat_seale", values=[(12.0, 4.2)], source=printed)[0].name
    'crown_flat_seale@12'
    """
    return tuple(
        row(key=key, value=value, source=source, nominal_mm=nominal_mm)
        for nominal_mm, value in values
    )
