"""How often limits were met by the dates forecast, parts renewed before it counted in.

A part renewed at its planning date was not late and not early: it is censored. Each
forecast's time is put on the scale of its own chances, where 0.1 is its P10, and the
share met is read off the curve of Kaplan & Meier (JASA 53, 1958).
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Flags, Floats

_LEAST_YEARS = 1.0 / 365.25
AT = (0.02, 0.10, 0.50, 0.90)


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """Per chance asked (P,): forecasts still watched there, the share met by then, and
    its standard error (Greenwood's, forecasts taken as independent)."""

    at_risk: Floats
    share: Floats
    error: Floats


def chance_by(*, quantiles_years: Floats, elapsed_years: Floats) -> Floats:
    """Return the chance that forecasts gave to times (n,), from P10, P50, P90 (3, n).

    The logarithm of the time is taken as normal between them and beyond.

    >>> chance_by(quantiles_years=np.array([[1.0], [2.0], [4.0]]),
    ...           elapsed_years=np.array([2.0]))
    array([0.5])
    """
    low, middle, high = np.log(np.maximum(quantiles_years, _LEAST_YEARS))
    at = np.log(np.maximum(elapsed_years, _LEAST_YEARS))
    reach = -normal.deviate(0.10)
    early = reach / np.maximum(middle - low, 1e-6)
    late = reach / np.maximum(high - middle, 1e-6)
    chance: Floats = normal.cumulative(
        np.where(at < middle, (at - middle) * early, (at - middle) * late)
    )
    return chance


def met_by(*, chance: Floats, met: Flags, at: tuple[float, ...] = AT) -> Met:
    """Return how many of forecasts (n,) had reached their limit by their own chances.

    chance : where each ended, on the scale of its own chances; met : the limit was
    reached there, else it was watched no longer

    >>> met_by(chance=np.array([0.05, 0.3, 0.6]), met=np.array([True, False, True]),
    ...        at=(0.1,)).share
    array([0.33333333])
    """
    order = np.lexsort((~met, chance))
    ended, event = chance[order], met[order]
    left = ended.size - np.arange(ended.size, dtype=np.float64)
    stays = np.where(event, 1.0 - 1.0 / left, 1.0)
    survival = np.concatenate([[1.0], np.cumprod(stays)])
    with np.errstate(divide="ignore"):
        gone = np.where(event & (left > 1), 1.0 / (left * (left - 1.0)), 0.0)
    variance = np.concatenate([[0.0], np.cumsum(gone)])
    place = np.searchsorted(ended, np.array(at), side="right")
    return Met(
        at_risk=(ended.size - place).astype(np.float64),
        share=1.0 - survival[place],
        error=survival[place] * np.sqrt(variance[place]),
    )
