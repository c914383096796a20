"""Discard of ropes and limits in service: an observation becomes verdicts.

A verdict carries no grade. "Met" means that the criterion for action is met; if one
rope of a set is condemned, the whole set is renewed.
"""

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard.breaks import judge_breaks
from inspections.engineering.discard.diameter import judge_diameter
from inspections.engineering.discard.machine import (
    judge_hardness,
    judge_runby,
    judge_speed,
    judge_tension_spread,
)
from inspections.engineering.discard.observation import (
    BreakCount,
    Distribution,
    Observation,
    OuterStrand,
    Rouge,
    Window,
)
from inspections.engineering.discard.strength import (
    judge_as_built,
    judge_safety_factor,
)
from inspections.engineering.discard.surface import (
    judge_crown_flat,
    judge_lay_length,
    judge_outer_wires,
    judge_rouge,
    usual_lay_length_mm,
)
from inspections.engineering.discard.value import judge_value
from inspections.engineering.verdict import Verdict

__all__ = [
    "BreakCount",
    "Distribution",
    "Observation",
    "OuterStrand",
    "Rouge",
    "Window",
    "judge_as_built",
    "judge_breaks",
    "judge_crown_flat",
    "judge_diameter",
    "judge_hardness",
    "judge_lay_length",
    "judge_outer_wires",
    "judge_rope",
    "judge_rouge",
    "judge_runby",
    "judge_safety_factor",
    "judge_speed",
    "judge_tension_spread",
    "judge_value",
    "usual_lay_length_mm",
]


def judge_rope(
    *, observation: Observation, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return every verdict on one rope: breaks, diameter, rouge, wires, lay length.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing; the observation has checked its own values.

    Source: the limits carry theirs.

    >>> from inspections.engineering import criteria
    >>> seen = Observation(nominal_diameter_mm=13.0, strands=8, breaks_total=2,
    ...                    diameters_mm=(12.8, 12.9))
    >>> verdicts = judge_rope(observation=seen,
    ...                       criteria_set=criteria.find(code="EN_81_20"))
    >>> [each.criterion for each in verdicts if each.outcome == "met"]
    []
    """
    flat = judge_crown_flat(observation=observation, criteria_set=criteria_set)
    return (
        *judge_breaks(observation=observation, criteria_set=criteria_set),
        *judge_diameter(observation=observation, criteria_set=criteria_set),
        judge_rouge(observation=observation, criteria_set=criteria_set),
        judge_outer_wires(observation=observation, criteria_set=criteria_set),
        *(() if flat is None else (flat,)),
        judge_lay_length(observation=observation, criteria_set=criteria_set),
    )
