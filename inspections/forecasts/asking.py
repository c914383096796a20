"""What must be asked before a date is given: steps back, strays, wear that heals."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from inspections.projection import resets
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.series import Readings

STRAY = "the last reading does not fit the others: measure again"
HEALS = "the readings only ever fall, which wear does not: check place and zero"
WHOLE = (
    "several places stepped back together on {day}: were the parts renewed? "
    "Report the work, or measure again"
)
SINGLE = (
    "the readings stepped back on {day}: mixed up with another place, or renewed? "
    "Measure again, or report the work"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """suspended : (S,) no date until it is answered; words : the question, by row."""

    suspended: np.ndarray
    words: Mapping[int, str] = field(default_factory=dict)


def nothing(count: int) -> Question:
    """Return no question about any of some series."""
    return Question(suspended=np.zeros(count, dtype=np.bool_))


def ask(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limit_mm: np.ndarray,
    doubted_last: np.ndarray,
    taken: np.ndarray,
) -> Question:
    """Return which forecasts wait for an answer.

    doubted_last : (S,) the last reading is a stray that nobody has confirmed
    taken : (N,) when each reading was taken, seconds since 1970
    """
    found = resets.suspect(
        readings=readings, hierarchy=hierarchy, limit_mm=np.nan_to_num(limit_mm)
    )
    words: dict[int, str] = dict.fromkeys(np.flatnonzero(doubted_last).tolist(), STRAY)
    words |= dict.fromkeys(np.flatnonzero(found.heals).tolist(), HEALS)
    stepped = np.flatnonzero(found.at_reading)
    series = np.searchsorted(readings.bounds, stepped, side="right") - 1
    for at, row in zip(stepped.tolist(), series.tolist(), strict=True):
        text = WHOLE if found.kind[row] == resets.WHOLE else SINGLE
        day = np.datetime64(int(taken[at]), "s").astype("datetime64[D]")
        words[row] = text.format(day=day)
    suspended = np.zeros(readings.series_count, dtype=np.bool_)
    suspended[list(words)] = True
    return Question(suspended=suspended, words=words)
