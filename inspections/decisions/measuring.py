"""What it is worth to know one thing before it is decided: preposterior analysis.

The option that is cheapest as things stand, against the one that would be chosen once
the thing is known, over all that it may turn out to be (Raiffa & Schlaifer, Applied
Statistical Decision Theory, 1961; from memory). Both plan by P2, so that the limit is
reached before the planned day with a chance of 2 % either way: less is open where more
is known, and work is planned later or sooner by what was read, not by a greater chance.
"""

from collections.abc import Sequence

import numpy as np

from inspections.decisions.future.knowing import Floats
from inspections.decisions.records import AheadLimit

# A limit's spread has several causes; what makes most of it is taken as half; our rule.
DOMINATING = 0.5
_BINS = 10


def of_limits(limits: Sequence[AheadLimit]) -> tuple[str, dict[str, float]]:
    """Return the field that blurs most, and its share of each date's variance."""
    blurred: dict[str, dict[str, float]] = {}
    for limit in limits:
        if limit.measure_first and limit.limit_share:
            of_field = blurred.setdefault(limit.measure_first, {})
            of_field[limit.key] = DOMINATING * min(limit.limit_share, 1.0)
    if not blurred:
        return "", {}
    name = max(sorted(blurred), key=lambda each: sum(blurred[each].values()))
    return name, blurred[name]


def saving(
    *, unmeasured: Floats, measured: Floats, blur: Floats
) -> tuple[float, int, int]:
    """Return what measuring saves, the option without it, and the one mostly with it.

    unmeasured, measured : cost of each option in each draw (options, draws)
    blur : what the thing turns out to be in each draw (draws,)

    Draws are laid together by what is found, in tenths. In each the option is chosen by
    one half of its draws and counted by the other, and the halves change places:
    chosen and counted by the same, chance alone would seem to save. Not negative, for
    whoever knows more may decide as before.
    """
    choice = int(np.argmin(unmeasured.mean(axis=1)))
    order = np.argsort(blur, kind="stable")
    spent, chosen = 0.0, np.zeros(len(measured), dtype=np.int64)
    for draws in np.array_split(order, _BINS):
        halves = draws[::2], draws[1::2]
        for by, counted in (halves, halves[::-1]):
            best = int(np.argmin(measured[:, by].mean(axis=1)))
            spent += float(measured[best, counted].sum())
            chosen[best] += counted.size
    saved = float(unmeasured[choice].mean()) - spent / blur.size
    return max(saved, 0.0), choice, int(np.argmax(chosen))
