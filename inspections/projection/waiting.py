"""How long until so many more wires break, some of which may be broken already.

The further use until n more breaks is the rate's own scale times a beta-prime variable;
wires that nobody has found yet, a Poisson number of groups, are n's already.
"""

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Floats

_HIDDEN = np.arange(16)
_STEPS = 48


def beta_prime_quantile(
    probability: float, shape: Floats, rate_shape: Floats
) -> Floats:
    """Return the quantile of G(shape)/G(rate_shape), each gamma with unit scale.

    Cube roots of gamma variables are nearly normal (Wilson & Hilferty, PNAS 17, 1931;
    ratio: Paulson 1942). Within 1 % for shape >= 3 and 8 % on the P10 of shape 1.
    """
    z = normal.deviate(probability)
    a, b = 1.0 / (9.0 * shape), 1.0 / (9.0 * rate_shape)
    u, v = 1.0 - a, 1.0 - b
    lead = np.maximum(v * v - z * z * b, 1e-6)
    root = np.sqrt(np.maximum(u * u * v * v - lead * (u * u - z * z * a), 0.0))
    cube = np.maximum((u * v + np.sign(z) * root) / lead, 1e-9)
    quantile: Floats = shape / rate_shape * cube**3
    return quantile


def chance_hidden(*, need: Floats, hidden: Floats, dispersion: float = 1.0) -> Floats:
    """Return the chance (S,) that at least ``need`` wires are broken and not found.

    hidden : expected number of them, Poisson [-]
    """
    share = _hidden_shares(hidden, dispersion)
    enough = dispersion * _HIDDEN[:, None] >= need[None]
    chance: Floats = np.sum(np.where(enough, share, 0.0), axis=0)
    return np.where(need <= 0, 1.0, chance)


def _hidden_shares(hidden: Floats, dispersion: float) -> Floats:
    """Return Poisson chances (K, S) of 0, 1, 2, ... groups of wires; the last has the
    rest."""
    mean = np.maximum(hidden / dispersion, 1e-12)
    logs = np.cumsum(np.log(np.maximum(_HIDDEN, 1)))
    share: Floats = np.exp(_HIDDEN[:, None] * np.log(mean) - mean - logs[:, None])
    share[-1] += np.maximum(1.0 - share.sum(axis=0), 0.0)
    return share


def with_hidden(
    need: Floats,
    hidden: Floats,
    shape: Floats,
    dispersion: float,
    probabilities: tuple[float, ...],
) -> list[Floats]:
    """Return quantiles (P of (S,)) of further use over the rate's own scale, where some
    of the wires needed are broken already and not found; 0 where enough may be."""
    share = _hidden_shares(hidden, dispersion)
    left = need / dispersion - _HIDDEN[:, None]
    there = left <= 0.0
    left = np.maximum(left, 0.25)
    middle = need / dispersion / shape
    steps = middle * np.geomspace(1e-3, 1e2, _STEPS)[:, None]
    chance = np.zeros((_STEPS, need.size))
    for number in range(_HIDDEN.size):
        inside = _beta_prime_chance(steps, left[number], shape)
        chance += share[number] * np.where(there[number], 1.0, inside)
    found = []
    for probability in probabilities:
        after = np.argmax(chance >= probability, axis=0)
        after = np.where(chance[-1] < probability, _STEPS - 1, after)
        column = np.arange(need.size)
        before = np.maximum(after - 1, 0)
        low, high = chance[before, column], chance[after, column]
        way = np.clip((probability - low) / np.maximum(high - low, 1e-12), 0.0, 1.0)
        x = (
            steps[before, column]
            * (steps[after, column] / steps[before, column]) ** way
        )
        found.append(np.where(chance[0] >= probability, 0.0, x))
    return found


def _beta_prime_chance(value: Floats, shape: Floats, rate_shape: Floats) -> Floats:
    """Return P(G(shape)/G(rate_shape) <= value): the inverse of the quantile below."""
    a, b = 1.0 / (9.0 * shape), 1.0 / (9.0 * rate_shape)
    root = np.cbrt(value * rate_shape / shape)
    z = ((1.0 - b) * root - (1.0 - a)) / np.sqrt(b * root * root + a)
    return normal.cumulative(np.clip(z, -8.0, 8.0))
