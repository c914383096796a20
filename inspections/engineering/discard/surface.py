"""Rouge, worn outer wires and lay length."""

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard.observation import Observation
from inspections.engineering.discard.value import judge_value
from inspections.engineering.validity import require_positive
from inspections.engineering.verdict import Verdict
from inspections.reasons import Term


def judge_rouge(*, observation: Observation, criteria_set: CriteriaSet) -> Verdict:
    """Return the verdict on rouge itself: 0 none, 1 trace, 2 heavy.

    Rouge also brings in stricter limits on broken wires and diameter; those verdicts
    come from judge_breaks and judge_diameter.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing.

    Source: MLIT Notice 283 (2008): powder so heavy that wires cannot be seen.

    >>> from inspections.engineering import criteria
    >>> from inspections.engineering.discard.observation import Rouge
    >>> heavy = Observation(nominal_diameter_mm=12.0, rouge=Rouge.HEAVY)
    >>> judge_rouge(observation=heavy,
    ...             criteria_set=criteria.find(code="MLIT_283")).outcome
    <Outcome.MET: 'met'>
    """
    return judge_value(
        criteria_set=criteria_set,
        key="rouge_most",
        value=None if observation.rouge is None else float(observation.rouge),
        missing=Term.ROUGE_SEEN,
    )


def judge_outer_wires(
    *, observation: Observation, criteria_set: CriteriaSet
) -> Verdict:
    """Return the verdict on the wear of an outer wire's diameter.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing.

    Source: WAC 296-155-77105(u)(ii) and 30 CFR 56.19024(c): one third.

    >>> from inspections.engineering import criteria
    >>> worn = Observation(nominal_diameter_mm=12.0, outer_wire_wear_ratio=0.4)
    >>> judge_outer_wires(observation=worn,
    ...                   criteria_set=criteria.find(code="CFR_30_56")).outcome
    <Outcome.MET: 'met'>
    """
    wear = observation.outer_wire_wear_ratio
    return judge_value(
        criteria_set=criteria_set,
        key="outer_wire_wear",
        value=None if wear is None else 100.0 * wear,
        missing=Term.OUTER_WIRE_WEAR_SEEN,
    )


def judge_crown_flat(
    *, observation: Observation, criteria_set: CriteriaSet
) -> Verdict | None:
    """Return the verdict on the length of the worn flat on a crown wire.

    The limit is the length at which 70 % of the wire's area is left. None where the
    strand construction is not known, since the limit hangs on it.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing.

    Source: MLIT Notice 283 (2008), summary of wire-rope criteria, table of flats.

    >>> from inspections.engineering import criteria
    >>> from inspections.engineering.discard.observation import OuterStrand
    >>> worn = Observation(nominal_diameter_mm=12.0, crown_flat_mm=4.3,
    ...                    outer_strand=OuterStrand.SEALE)
    >>> judge_crown_flat(observation=worn,
    ...                  criteria_set=criteria.find(code="MLIT_283")).limit
    4.2
    """
    if observation.outer_strand is None:
        return None
    return judge_value(
        criteria_set=criteria_set,
        key=observation.outer_strand.value,
        value=observation.crown_flat_mm,
        missing=Term.CROWN_WIRE_FLAT,
        nominal_mm=observation.nominal_diameter_mm,
    )


def judge_lay_length(*, observation: Observation, criteria_set: CriteriaSet) -> Verdict:
    """Return the verdict on the growth of the lay length since the rope was fitted.

    A lay that grows says that the core gives way. No set prints a number for lift
    ropes, so this stays "not assessed" until the contractor enters one.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing.

    Source: common practice, no source; usual lay about 6.5 d.

    >>> from inspections.engineering import criteria
    >>> longer = Observation(nominal_diameter_mm=13.0, lay_length_mm=90.0,
    ...                      lay_length_as_fitted_mm=84.5)
    >>> judge_lay_length(observation=longer,
    ...                  criteria_set=criteria.find(code="EN_81_20")).outcome
    <Outcome.NOT_ASSESSED: 'not assessed'>
    """
    now_mm, fitted_mm = observation.lay_length_mm, observation.lay_length_as_fitted_mm
    growth = None
    if now_mm is not None and fitted_mm is not None:
        growth = 100.0 * (now_mm - fitted_mm) / fitted_mm
    return judge_value(
        criteria_set=criteria_set,
        key="lay_length_growth",
        value=growth,
        missing=Term.LAY_LENGTHS,
    )


def usual_lay_length_mm(*, nominal_diameter_mm: float) -> float:
    """Return the usual length of a rope lay: 6.5 d.

    Parameters
    ----------
    nominal_diameter_mm : d, nominal rope diameter [mm], > 0

    Raises OutsideValidity for a diameter that is not positive.

    Source: from memory; a note on ASME A17.1b-2009 is said to print 62 mm for a rope
    of 9.5 mm, 83 for 12.7 and 103 for 15.9.

    >>> round(usual_lay_length_mm(nominal_diameter_mm=12.7))
    83
    """
    require_positive(nominal_diameter_mm=nominal_diameter_mm)
    return 6.5 * nominal_diameter_mm
