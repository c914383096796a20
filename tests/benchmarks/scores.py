"""How far quantiles of a forecast lie from what came (Gneiting & Raftery, JASA 102,
2007)."""

import numpy as np

from inspections.projection.scoring import pinball


def crps(
    *, quantiles: np.ndarray, probabilities: np.ndarray, truth: np.ndarray
) -> np.ndarray:
    """Return twice the mean pinball loss over evenly spaced probabilities (n,).

    quantiles : (P, n); truth : (n,), in the same unit as what is returned
    """
    loss = pinball(quantiles=quantiles, probabilities=probabilities, truth=truth)
    mean: np.ndarray = 2.0 * loss.mean(axis=0)
    return mean
