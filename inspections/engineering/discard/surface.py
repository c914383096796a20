"""Rouge, worn outer wires and lay length."""

from inspections.engineering.criteria import CriteriaSet, between_sizes, lookup
from inspections.engineering.discard.observation import Observation, OuterStrand
from inspections.engineering.discard.value import judge_value
from inspections.engineering.limit import Limit
from inspections.engineering.validity import require_positive
from inspections.engineering.verdict import Verdict, judge, judge_between, not_assessed
from inspections.reasons import Term, missing

# The longest and shortest lay of a new rope in diameters; practice, no source.
_LAYS_AS_FITTED = (7.0, 6.0)


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

    The limit is the length at which 70 % of the wire's area is left. Where the strand
    construction is not known, a flat past or inside the limits of all is judged, and
    between them it is open; None where no flat was read or the set has no such limit.

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
    flat_mm = observation.crown_flat_mm
    if observation.outer_strand is not None:
        keys = [observation.outer_strand.value]
    else:
        keys = [strand.value for strand in OuterStrand]
    rows = [_flat_row(criteria_set, key, observation) for key in keys]
    limits = [row for row in rows if row.value is not None]
    if observation.outer_strand is None and (flat_mm is None or not limits):
        return None
    if flat_mm is None or not limits:
        reason = missing(Term.CROWN_WIRE_FLAT) if limits else rows[0].why_open
        return not_assessed(limit=rows[0], value=flat_mm, reason=reason)
    found = [
        judge(limit=row, value=flat_mm, also=(row.gap,) if row.gap else ())
        for row in limits
    ]
    if len({each.outcome for each in found}) == 1:
        return min(found, key=lambda each: abs(each.margin or 0.0))
    return not_assessed(
        limit=limits[0], value=flat_mm, reason=missing(Term.ROPE_CONSTRUCTION)
    )


def _flat_row(criteria_set: CriteriaSet, key: str, seen: Observation) -> Limit:
    """The row for this size, or the stricter of those next to it."""
    size_mm = seen.nominal_diameter_mm
    printed = lookup(criteria_set=criteria_set, key=key, nominal_mm=size_mm)
    if printed.value is not None:
        return printed
    carried = between_sizes(criteria_set=criteria_set, key=key, nominal_mm=size_mm)
    return printed if carried is None else carried


def judge_lay_length(*, observation: Observation, criteria_set: CriteriaSet) -> Verdict:
    """Return the verdict on the growth of the lay length since the rope was fitted.

    A lay that grows says that the core gives way. No set prints a number for lift
    ropes; that of practice is to be watched. Where the lay as fitted was not written
    down it was 6 to 7 d, and the criterion is open where that matters.

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
    <Outcome.MET: 'met'>
    """
    limit = lookup(criteria_set=criteria_set, key="lay_length_growth")
    now_mm, fitted_mm = observation.lay_length_mm, observation.lay_length_as_fitted_mm
    if now_mm is None or limit.value is None:
        reason = missing(Term.LAY_LENGTHS) if limit.value else limit.why_open
        return not_assessed(limit=limit, value=None, reason=reason)
    if fitted_mm is not None:
        return judge(limit=limit, value=100.0 * (now_mm / fitted_mm - 1.0))
    d_mm = observation.nominal_diameter_mm
    low, high = (100.0 * (now_mm / (lays * d_mm) - 1.0) for lays in _LAYS_AS_FITTED)
    return judge_between(limit=limit, low=low, high=high, missing=Term.LAY_LENGTHS)


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
