"""The closed list of what a criteria set may limit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inspections.engineering.limit import Bound, Limit, Stage
from inspections.engineering.source import Source
from inspections.reasons import NAMES, Criterion, Reason, Topic


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """What a key means: words, unit and the side that is in order.

    `topic` is what is found of a rope that is held against it.
    """

    words: str
    unit: str
    bound: Bound
    stage: Stage = Stage.LIMIT
    topic: Topic | None = None


def _define(
    criterion: Criterion,
    unit: str,
    bound: Bound,
    stage: Stage,
    topic: Topic | None = None,
) -> Definition:
    return Definition(
        words=NAMES[criterion], unit=unit, bound=bound, stage=stage, topic=topic
    )


_MOST, _LEAST, _UNDER = Bound.AT_MOST, Bound.AT_LEAST, Bound.BELOW
_LIMIT, _WATCH = Stage.LIMIT, Stage.WATCH
_WIRES, _ACROSS = Topic.BROKEN_WIRES, Topic.ROPE_DIAMETER
_UNITS: Mapping[
    Criterion, tuple[str, Bound, Stage] | tuple[str, Bound, Stage, Topic]
] = {
    # The machine as built.
    Criterion.ROPES_LEAST: ("ropes", _LEAST, _LIMIT),
    Criterion.ROPE_DIAMETER_LEAST: ("mm", _LEAST, _LIMIT),
    Criterion.DIAMETER_RATIO_LEAST: ("-", _LEAST, _LIMIT),
    Criterion.ROPING_MOST: ("-", _MOST, _LIMIT),
    Criterion.UNDERCUT_ANGLE_MOST: ("deg", _MOST, _LIMIT),
    Criterion.SAFETY_FACTOR_THREE_ROPES: ("-", _LEAST, _LIMIT),
    Criterion.SAFETY_FACTOR_TWO_ROPES: ("-", _LEAST, _LIMIT),
    # Broken wires in the worst lay.
    Criterion.BREAKS_EVEN: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_EVEN_MONTHLY: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_PREDOMINANT: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_PREDOMINANT_MONTHLY: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_IN_TWO_STRANDS: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_IN_ONE_STRAND: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_IN_ONE_STRAND_EVEN: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_IN_ONE_STRAND_WORN: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_IN_ONE_STRAND_ROUGE: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_ADJACENT: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_CROWN_GROUP: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_CROWN_GROUP_MONTHLY: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_VALLEY: ("wires", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_EVEN_WATCH: ("wires", _MOST, _WATCH, _WIRES),
    Criterion.BREAKS_IN_TWO_STRANDS_WATCH: ("wires", _MOST, _WATCH, _WIRES),
    Criterion.BREAKS_ADJACENT_WATCH: ("wires", _MOST, _WATCH, _WIRES),
    Criterion.BREAKS_VALLEY_WATCH: ("wires", _MOST, _WATCH, _WIRES),
    Criterion.BREAKS_SHARE_OF_LAY: ("%", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_SHARE_OF_STRAND: ("%", _MOST, _LIMIT, _WIRES),
    Criterion.BREAKS_UNFAVOURABLE_FACTOR: ("-", _MOST, _LIMIT, _WIRES),
    # Diameter.
    Criterion.DIAMETER_REDUCTION_NOMINAL: ("%", _MOST, _LIMIT, _ACROSS),
    Criterion.DIAMETER_REDUCTION_UNWORN: ("%", _MOST, _LIMIT, _ACROSS),
    Criterion.DIAMETER_REDUCTION_UNWORN_WATCH: ("%", _MOST, _WATCH, _ACROSS),
    Criterion.DIAMETER_REDUCTION_ROUGE: ("%", _MOST, _LIMIT, _ACROSS),
    Criterion.DIAMETER_LEAST: ("mm", _LEAST, _LIMIT, _ACROSS),
    Criterion.DIAMETER_LEAST_ROUGE: ("mm", _LEAST, _LIMIT, _ACROSS),
    Criterion.DIAMETER_LOSS_MOST: ("mm", _MOST, _LIMIT, _ACROSS),
    # Surface and structure of the rope.
    Criterion.ROUGE_MOST: ("grade", _MOST, _LIMIT, Topic.ROUGE),
    Criterion.OUTER_WIRE_WEAR: ("%", _MOST, _LIMIT, Topic.OUTER_WIRES),
    Criterion.CROWN_FLAT_SEALE: ("mm", _UNDER, _LIMIT, Topic.CROWN_FLAT_SEALE),
    Criterion.CROWN_FLAT_WARRINGTON: (
        "mm",
        _UNDER,
        _LIMIT,
        Topic.CROWN_FLAT_WARRINGTON,
    ),
    Criterion.CROWN_FLAT_FILLER: ("mm", _UNDER, _LIMIT, Topic.CROWN_FLAT_FILLER),
    Criterion.LAY_LENGTH_GROWTH: ("%", _MOST, _WATCH, Topic.LAY_LENGTH),
    Criterion.DEFORMATION_MOST: ("grade", _MOST, _LIMIT, Topic.SHAPE),
    Criterion.WORN_OR_RUSTED_MOST: ("grade", _MOST, _WATCH, Topic.WORN_OR_RUSTED),
    Criterion.TWIST_MOST: ("grade", _MOST, _WATCH, Topic.TWIST),
    Criterion.DRYNESS_MOST: ("grade", _MOST, _WATCH, Topic.DRYNESS),
    Criterion.WETNESS_MOST: ("grade", _MOST, _WATCH, Topic.WETNESS),
    # The set and the machine in service.
    Criterion.TENSION_SPREAD: ("%", _MOST, _WATCH),
    Criterion.TENSION_DEVIATION: ("%", _MOST, _WATCH),
    Criterion.TENSION_SPREAD_MOST: ("%", _MOST, _LIMIT),
    Criterion.TENSION_SLACK_LEAST: ("%", _LEAST, _LIMIT),
    Criterion.COUNTERWEIGHT_RUNBY_LEAST: ("mm", _LEAST, _LIMIT),
    Criterion.CAR_RUNBY_LEAST: ("mm", _LEAST, _LIMIT),
    Criterion.SPEED_LEAST: ("%", _LEAST, _LIMIT),
    Criterion.SPEED_MOST: ("%", _MOST, _LIMIT),
    # The sheave.
    Criterion.BOTTOM_CLEARANCE_LEAST: ("mm", _LEAST, _LIMIT),
    Criterion.HARDNESS_LEAST: ("HB", _LEAST, _WATCH),
    Criterion.HARDNESS_SPREAD_MOST: ("HB", _MOST, _WATCH),
    Criterion.GROOVE_DIAMETER_SPREAD_NEW: ("mm", _MOST, _LIMIT),
    Criterion.SEAT_RUNOUT_SHARE_NEW: ("%", _MOST, _LIMIT),
    Criterion.GROOVE_DEPTH_SPREAD: ("%", _MOST, _WATCH),
}
DEFINITIONS: Mapping[str, Definition] = {
    criterion.value: _define(criterion, *_UNITS[criterion]) for criterion in Criterion
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
    gap: Reason | None = None,
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
    gap : why there is no number, where there is none

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
        gap=gap,
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
