"""Discard of ropes and limits in service: an observation becomes verdicts.

A verdict carries no grade. "Met" means that the criterion for action is met; if one
rope of a set is condemned, the whole set is renewed.
"""

from collections.abc import Iterable
from dataclasses import replace

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard.breaks import judge_breaks
from inspections.engineering.discard.condition import judge_condition
from inspections.engineering.discard.diameter import (
    judge_diameter,
    loss_allowed_mm,
    unworn_range_mm,
)
from inspections.engineering.discard.machine import (
    judge_hardness,
    judge_runby,
    judge_speed,
    judge_tension_action,
    judge_tension_spread,
)
from inspections.engineering.discard.observation import (
    BreakCount,
    Distribution,
    Lubrication,
    Observation,
    OuterStrand,
    Rouge,
    Window,
)
from inspections.engineering.discard.of_rope import LikeCounts
from inspections.engineering.discard.rope_history import (
    DiameterSighting,
    counting_diameters_mm,
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
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Verdict, worst_of
from inspections.reasons import Code, because

__all__ = [
    "BreakCount",
    "DiameterSighting",
    "Distribution",
    "LikeCounts",
    "Lubrication",
    "Observation",
    "OuterStrand",
    "Rouge",
    "Window",
    "counting_diameters_mm",
    "judge_as_built",
    "judge_breaks",
    "judge_condition",
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
    "judge_stations",
    "judge_tension_action",
    "judge_tension_spread",
    "judge_value",
    "loss_allowed_mm",
    "unworn_range_mm",
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
    return (
        *judge_breaks(observation=observation, criteria_set=criteria_set),
        *_beside_breaks(observation, criteria_set),
    )


def _beside_breaks(
    observation: Observation, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    flat = judge_crown_flat(observation=observation, criteria_set=criteria_set)
    return (
        *judge_diameter(observation=observation, criteria_set=criteria_set),
        judge_rouge(observation=observation, criteria_set=criteria_set),
        judge_outer_wires(observation=observation, criteria_set=criteria_set),
        *(() if flat is None else (flat,)),
        judge_lay_length(observation=observation, criteria_set=criteria_set),
        *judge_condition(observation=observation, criteria_set=criteria_set),
    )


def judge_stations(
    *,
    observations: tuple[Observation, ...],
    criteria_set: CriteriaSet,
    like: LikeCounts | None = None,
) -> tuple[Verdict, ...]:
    """Return every verdict on one rope that was seen at several places and visits.

    The worst place of each criterion counts, whatever was found elsewhere or later: a
    rope that measures thicker at another place is as thin as it was at the first. The
    worst rouge anywhere brings in the stricter limits everywhere.

    Parameters
    ----------
    observations : of one rope since it was fitted, one or more
    criteria_set : the set that holds
    like : what was said already of like counts, such as those of other ropes

    Raises OutsideValidity without an observation.

    Source: own definition; wires, diameter and rouge do not heal.

    >>> from inspections.engineering import criteria
    >>> thin = Observation(nominal_diameter_mm=13.0, diameters_mm=(12.0, 12.1))
    >>> thicker = Observation(nominal_diameter_mm=13.0, diameters_mm=(12.5, 12.6))
    >>> found = judge_stations(observations=(thin, thicker),
    ...                        criteria_set=criteria.find(code="EN_81_20"))
    >>> [each.criterion for each in found if each.outcome == "met"]
    ['diameter_reduction_nominal']
    """
    if not observations:
        raise OutsideValidity(
            name="observations", value=0, rule=because(Code.RULE_OR_MORE, least=1)
        )
    seen = [each.rouge for each in observations if each.rouge is not None]
    rouge = max(seen) if seen else None
    whole = tuple(
        each if each.rouge is rouge else replace(each, rouge=rouge)
        for each in observations
    )
    at_once = _at_once(whole)
    found = list(
        judge_breaks(observation=at_once, criteria_set=criteria_set, like=like)
    )
    for each in whole:
        found += _beside_breaks(each, criteria_set)
    assessed = {v.criterion for v in found if v.value is not None}
    # A place at which something was not read does not open what another has shown.
    return worst_of(
        verdicts=tuple(
            v for v in found if v.value is not None or v.criterion not in assessed
        )
    )


def _at_once(whole: tuple[Observation, ...]) -> Observation:
    """Return the broken wires of all places as further counts of the first."""
    if len(whole) == 1:
        return whole[0]
    worn = [each.wires_worn_or_rusted for each in whole]
    return replace(
        whole[0],
        strands=_first_known(each.strands for each in whole),
        wires_per_rope=_first_known(each.wires_per_rope for each in whole),
        further=tuple(count for each in whole for count in each.counted),
        wires_worn_or_rusted=True if True in worn else worn[0],
        inspected_monthly=all(each.inspected_monthly for each in whole),
    )


def _first_known(values: Iterable[int | None]) -> int | None:
    return next((value for value in values if value is not None), None)
