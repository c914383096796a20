"""What must be asked before a date is given: steps back, strays, wear that heals."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime

import numpy as np

from inspections.projection import resets
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.series import Readings
from inspections.reasons import Code, Reason, because

STRAY = because(Code.ASKED_STRAY)
HEALS = because(Code.ASKED_HEALS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """suspended : (S,) no date until it is answered; asked : the question, by row."""

    suspended: np.ndarray
    asked: Mapping[int, Reason] = field(default_factory=dict)


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
    asked = dict.fromkeys(np.flatnonzero(doubted_last).tolist(), STRAY)
    asked |= dict.fromkeys(np.flatnonzero(found.heals).tolist(), HEALS)
    stepped = np.flatnonzero(found.at_reading)
    series = np.searchsorted(readings.bounds, stepped, side="right") - 1
    for at, row in zip(stepped.tolist(), series.tolist(), strict=True):
        is_whole = found.kind[row] == resets.WHOLE
        code = Code.ASKED_STEPPED_TOGETHER if is_whole else Code.ASKED_STEPPED
        asked[row] = because(
            code, day=datetime.fromtimestamp(int(taken[at]), UTC).date()
        )
    suspended = np.zeros(readings.series_count, dtype=np.bool_)
    suspended[list(asked)] = True
    return Question(suspended=suspended, asked=asked)
