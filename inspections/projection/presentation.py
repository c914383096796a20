"""What is shown of a forecast, with nought, one, two, three or more readings.

A date that rests on the class alone is not shown as if it rested on the part.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers

NOTHING = 0
SUSPENDED = 1
"""A step back or a stray last reading waits for an answer. It clears no finding."""
CLASS_RANGE = 2
"""Only the range of the class: nothing is known of this machine."""
EARLIER_PARTS = 3
"""Expected from this machine's earlier parts: only the day before which it comes with
about 1 chance in 10."""
ONE_IN_TEN = 4
"""Level and margin, and the day before which it comes with about 1 chance in 10 (from
the class alone; no permission to run until then); no middle date."""
PROVISIONAL = 5
PROJECTION = 6
NOT_SEEN = 7
"""No limit seen within 25 years at today's rate: P10 is later than that."""

PRIOR_ONLY, PARTLY_LEARNT, ESTABLISHED = 0, 1, 2

SEEN_YEARS = 25.0
WIDEST_RATIO = 10.0
FEWEST_CLASS_SERIES = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What decides (S,) each.

    readings : ordinary readings; known_installation : its date is known
    quantiles_years : (4, S) P2, P10, P50, P90
    share_learnt : share of the rate's prior variance removed
    machine_seen : the machine has earlier parts or sister series with readings
    sister_visits : visits of the best-read other series of the machine
    class_series : series the class was learnt from
    suspended : an unconfirmed step back, or an outlier on the last reading
    safety : the limit is one of traction, bottoming or rope discard
    """

    readings: Integers
    known_installation: Flags
    quantiles_years: Floats
    share_learnt: Floats
    machine_seen: Flags
    sister_visits: Integers
    class_series: Integers
    suspended: Flags
    safety: Flags


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What is shown (S,). Times are +inf where they are not shown.

    form : one of the codes above; label : PRIOR_ONLY, PARTLY_LEARNT or ESTABLISHED
    one_in_ten_years, middle_years, nine_in_ten_years : P10, P50, P90 as far as shown
    """

    form: Integers
    label: Integers
    one_in_ten_years: Floats
    middle_years: Floats
    nine_in_ten_years: Floats


def show(case: Case) -> Shown:
    """Return what may be shown of each forecast."""
    form = _form(case)
    _, p10, p50, p90 = case.quantiles_years
    wide = p90 > WIDEST_RATIO * np.maximum(p10, 1e-9)
    both = np.isin(form, (PROVISIONAL, PROJECTION)) & ~wide
    early = both | np.isin(
        form, (PROVISIONAL, PROJECTION, ONE_IN_TEN, EARLIER_PARTS, CLASS_RANGE)
    )
    return Shown(
        form=form,
        label=_label(case.share_learnt),
        one_in_ten_years=np.where(early, p10, np.inf),
        middle_years=np.where(both, p50, np.inf),
        nine_in_ten_years=np.where(both, p90, np.inf),
    )


def _form(case: Case) -> Integers:
    n, known = case.readings, case.known_installation
    form = np.full(n.size, PROJECTION, dtype=np.int8)
    form[n == 2] = PROVISIONAL
    form[(n == 2) & ~known & (case.sister_visits < 2)] = ONE_IN_TEN
    form[n == 1] = np.where(known, PROVISIONAL, ONE_IN_TEN)[n == 1]
    enough = case.class_series >= FEWEST_CLASS_SERIES
    unread = np.where(enough, CLASS_RANGE, NOTHING)
    unread = np.where(case.machine_seen, EARLIER_PARTS, unread)
    unread = np.where(known, unread, NOTHING)
    form[n == 0] = unread[n == 0]
    p10 = case.quantiles_years[1]
    form[(form != NOTHING) & (p10 > SEEN_YEARS)] = NOT_SEEN
    form[~np.isfinite(p10)] = NOTHING
    form[case.suspended] = SUSPENDED
    return form


def _label(share_learnt: Floats) -> Integers:
    label = np.full(share_learnt.size, PARTLY_LEARNT, dtype=np.int8)
    label[share_learnt < 0.2] = PRIOR_ONLY
    label[share_learnt > 0.6] = ESTABLISHED
    return label
