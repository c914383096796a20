"""What a set limits on the machine in service: tension, run-by, speed, hardness."""

from statistics import fmean

from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.discard.value import judge_value
from inspections.engineering.validity import require_positive
from inspections.engineering.verdict import Outcome, Verdict, not_assessed
from inspections.reasons import Code, because, missing

_TWO = 2


def judge_tension_spread(
    *, tensions_n: tuple[float, ...], ropes: int, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return the verdicts on highest over lowest tension and on the mean.

    A spread inside the noise of the gauge says nothing: judge the swing as well.

    Parameters
    ----------
    tensions_n : T, one tension for each rope of the set [N], > 0; ratios of a
        clamp gauge do as well
    ropes : number of ropes in the set [-]
    criteria_set : the set that holds

    Raises OutsideValidity for a tension that is not positive.

    Source: "Traction Sheave Maintenance", a course in Elevator World: highest and
    lowest within 10 % of the lowest (confirmed); within 5 % of the mean (from memory).

    >>> from inspections.engineering import criteria
    >>> judge_tension_spread(tensions_n=(4000.0, 4200.0, 4500.0), ropes=3,
    ...                      criteria_set=criteria.find(code="EN_81_20"))[0].value
    12.5
    """
    for tension_n in tensions_n:
        require_positive(tensions_n=tension_n)
    limits = [
        lookup(criteria_set=criteria_set, key=key)
        for key in ("tension_spread", "tension_deviation")
    ]
    if len(tensions_n) < max(ropes, _TWO):
        reason = missing(because(Code.ROPES_READ, read=len(tensions_n), ropes=ropes))
        return tuple(
            not_assessed(limit=limit, value=None, reason=reason) for limit in limits
        )
    mean = fmean(tensions_n)
    spread = 100.0 * (max(tensions_n) / min(tensions_n) - 1.0)
    deviation = 100.0 * max(abs(each - mean) for each in tensions_n) / mean
    return tuple(
        judge_value(criteria_set=criteria_set, key=limit.key, value=value)
        for limit, value in zip(limits, (spread, deviation), strict=True)
    )


def judge_tension_action(
    *, tensions_n: tuple[float, ...], ropes: int, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return the verdicts on tensions that are to be acted on: spread and slack.

    A rope that carries much less than the others, or one that carries much more, wears
    the sheave and itself and leaves the rest without its share: the ropes are
    equalised. Ropes that were not read never make these better: past the limit by
    those that were is past it.

    Parameters
    ----------
    tensions_n : T, one tension for each rope that was read [N], > 0; ratios of a clamp
        gauge do as well
    ropes : number of ropes in the set [-]
    criteria_set : the set that holds

    Raises OutsideValidity for a tension that is not positive.

    Source: common practice, no source; the limits carry it.

    >>> from inspections.engineering import criteria
    >>> slack = judge_tension_action(tensions_n=(800.0, 4000.0, 4000.0, 4100.0),
    ...     ropes=4, criteria_set=criteria.find(code="EN_81_20"))
    >>> [str(each.outcome) for each in slack]
    ['met', 'met']
    """
    for tension_n in tensions_n:
        require_positive(tensions_n=tension_n)
    limits = [
        lookup(criteria_set=criteria_set, key=key)
        for key in ("tension_spread_most", "tension_slack_least")
    ]
    few = because(Code.ROPES_READ, read=len(tensions_n), ropes=ropes)
    if len(tensions_n) < _TWO:
        return tuple(
            not_assessed(limit=limit, value=None, reason=missing(few))
            for limit in limits
        )
    lowest = min(tensions_n)
    values = (
        100.0 * (max(tensions_n) / lowest - 1.0),
        100.0 * lowest / fmean(tensions_n),
    )
    found = [
        judge_value(criteria_set=criteria_set, key=limit.key, value=value)
        for limit, value in zip(limits, values, strict=True)
    ]
    if len(tensions_n) >= ropes:
        return tuple(found)
    return tuple(
        each
        if each.outcome is Outcome.MET
        else not_assessed(limit=limit, value=each.value, reason=missing(few))
        for limit, each in zip(limits, found, strict=True)
    )


def judge_runby(
    *,
    counterweight_mm: float | None,
    car_mm: float | None,
    criteria_set: CriteriaSet,
) -> tuple[Verdict, ...]:
    """Return the verdicts on the run-by of counterweight and car.

    Parameters
    ----------
    counterweight_mm : counterweight to buffer, car at the top landing [mm], negative
        when it lands before; None if not measured
    car_mm : car to buffer, car at the bottom landing [mm]; None if not measured
    criteria_set : the set that holds

    Raises OutsideValidity for a run-by that is not a finite number.

    Source: common practice, no source; the code's run-by depends on buffer and speed.

    >>> from inspections.engineering import criteria
    >>> judge_runby(counterweight_mm=20.0, car_mm=None,
    ...             criteria_set=criteria.find(code="EN_81_20"))[0].outcome
    <Outcome.MET: 'met'>
    """
    return tuple(
        judge_value(criteria_set=criteria_set, key=key, value=value)
        for key, value in (
            ("counterweight_runby_least", counterweight_mm),
            ("car_runby_least", car_mm),
        )
    )


def judge_speed(
    *, speed_m_s: float | None, rated_speed_m_s: float, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return the verdicts on car speed against the window round the rated speed.

    Parameters
    ----------
    speed_m_s : measured or expected car speed [m/s], > 0; None if not measured
    rated_speed_m_s : rated car speed [m/s], > 0
    criteria_set : the set that holds

    Raises OutsideValidity for a speed that is not positive.

    Source: 92 to 105 % of rated speed, half load, EN 81-20 practice (from memory).

    >>> from inspections.engineering import criteria
    >>> low, high = judge_speed(speed_m_s=1.44, rated_speed_m_s=1.6,
    ...                         criteria_set=criteria.find(code="EN_81_20"))
    >>> low.outcome, high.outcome
    (<Outcome.MET: 'met'>, <Outcome.NOT_MET: 'not met'>)
    """
    require_positive(rated_speed_m_s=rated_speed_m_s)
    share = None
    if speed_m_s is not None:
        require_positive(speed_m_s=speed_m_s)
        share = 100.0 * speed_m_s / rated_speed_m_s
    return tuple(
        judge_value(criteria_set=criteria_set, key=key, value=share)
        for key in ("speed_least", "speed_most")
    )


def judge_hardness(
    *, hardness_hb: tuple[float, ...], criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return the verdicts on the softest place of a rim and on the spread.

    Parameters
    ----------
    hardness_hb : readings on the rim land [HB], > 0; the spread needs two
    criteria_set : the set that holds

    Raises OutsideValidity for a hardness that is not positive.

    Source: common practice, no source (180 HB); GB/T 24478-2009 from memory (15 HB).

    >>> from inspections.engineering import criteria
    >>> softest, spread = judge_hardness(hardness_hb=(205.0, 212.0, 224.0),
    ...                                  criteria_set=criteria.find(code="EN_81_20"))
    >>> softest.margin, spread.value
    (25.0, 19.0)
    """
    for hardness in hardness_hb:
        require_positive(hardness_hb=hardness)
    least = min(hardness_hb) if hardness_hb else None
    spread = None
    if len(hardness_hb) >= _TWO:
        spread = max(hardness_hb) - min(hardness_hb)
    return (
        judge_value(criteria_set=criteria_set, key="hardness_least", value=least),
        judge_value(
            criteria_set=criteria_set, key="hardness_spread_most", value=spread
        ),
    )
