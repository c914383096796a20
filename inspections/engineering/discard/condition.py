"""What the eye and the finger find on a rope: shape, rust, twist, lubrication."""

from collections.abc import Iterator

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard.observation import Lubrication, Observation
from inspections.engineering.discard.value import judge_value
from inspections.engineering.verdict import Verdict


def judge_condition(
    *, observation: Observation, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return a verdict for everything that was looked at; what was not has none.

    A birdcage, a kink or a core that stands out condemns the rope. Worn or heavily
    rusted wires, twist, a dry and a wet rope are to be watched; the first brings in
    stricter limits on broken wires too, and a wet rope is nearer to slip.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing.

    Source: TSG T7001 (from memory) for the shape; the rest is common practice, no
    source. A faint oily smudge on a wiped finger is right (NAVFAC MO-118).

    >>> from inspections.engineering import criteria
    >>> caged = Observation(nominal_diameter_mm=13.0, deformation_seen=True)
    >>> [(each.criterion, str(each.outcome)) for each in judge_condition(
    ...     observation=caged, criteria_set=criteria.find(code="EN_81_20"))]
    [('deformation_most', 'met')]
    """
    return tuple(
        judge_value(criteria_set=criteria_set, key=key, value=float(seen))
        for key, seen in _looked_at(observation)
        if seen is not None
    )


def _looked_at(seen: Observation) -> Iterator[tuple[str, bool | None]]:
    yield "deformation_most", seen.deformation_seen
    yield "worn_or_rusted_most", seen.wires_worn_or_rusted
    yield "twist_most", seen.twist_seen
    oiled = seen.lubrication
    yield "dryness_most", None if oiled is None else oiled is Lubrication.DRY
    yield "wetness_most", None if oiled is None else oiled is Lubrication.WET
