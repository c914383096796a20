"""The wear rate of one series, seen through its measured slope.

The log rate β has a normal prior; the measured slope b̂ is normal about exp(β). Their
product is not normal; its mean and variance are found by Gauss-Hermite quadrature with
seven nodes about its peak (importance-corrected: Liu & Pierce, Biometrika 81, 1994),
and the slope's own share is handed on as a normal message (expectation propagation:
Minka, UAI 2001).
"""

import numpy as np

from inspections.projection.arrays import Floats

NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(7)
_LOG_WEIGHTS = np.log(WEIGHTS / WEIGHTS.sum()) + 0.5 * NODES**2
_POWERS = np.vander(NODES, 4, increasing=True).T.astype(np.float32)
_NEWTON_STEPS = 3
_LEAST_SHARE = 0.5
"""All messages of an installation may take away this share of the prior's precision."""


def log_rate_moments(
    *, prior_mean: Floats, prior_variance: Floats, slope: Floats, slope_variance: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return mean, variance and skewness of β given the prior N(β) and the measured
    slope, N(slope | exp β, slope_variance).

    All (S,), slope in mm/clock; single precision inside. A slope <= 0 is
    noise and gives a posterior below the prior; a huge ``slope_variance`` gives the
    prior back.
    """
    mean = prior_mean.astype(np.float32, copy=False)
    precision = (1.0 / prior_variance).astype(np.float32, copy=False)
    measured = slope.astype(np.float32, copy=False)
    floor = 1e-8 * slope * slope + 1e-24
    sharpness = (1.0 / np.maximum(slope_variance, floor)).astype(np.float32, copy=False)
    peak, width = _peak(mean, precision, measured, sharpness)
    log_density = np.empty((NODES.size, *peak.shape), dtype=np.float32)
    for row, node in enumerate(NODES.astype(np.float32, copy=False)):
        beta = peak + width * node
        gap = np.exp(beta) - measured
        beta -= mean
        log_density[row] = gap * gap * sharpness + beta * beta * precision
    log_density *= np.float32(-0.5)
    log_density += _LOG_WEIGHTS.astype(np.float32, copy=False)[:, None]
    log_density -= log_density.max(axis=0)
    share = np.exp(log_density, out=log_density)
    total, first, second, third = _POWERS @ share
    offset = first / total
    variance = second / total - offset * offset
    third = third / total - offset * (3 * variance + offset * offset)
    safe = np.maximum(variance, np.float32(1e-6))
    skewness = third / (safe * np.sqrt(safe))
    kind = prior_mean.dtype
    return (
        (peak + width * offset).astype(kind, copy=False),
        np.maximum(width * width * variance, np.float32(1e-8)).astype(kind, copy=False),
        np.clip(skewness, np.float32(-1.0), np.float32(1.0)).astype(kind, copy=False),
    )


def _peak(
    mean: Floats, precision: Floats, slope: Floats, sharpness: Floats
) -> tuple[Floats, Floats]:
    """Return the peak of the product and the width of the normal that fits it there.

    Begins between the prior mean and log b̂ (where b̂ is clear of zero); damped Newton.
    """
    clear = slope * slope * sharpness > np.float32(2.25)
    clear &= slope > 0
    pull = slope * slope * sharpness * clear
    logarithm = np.log(np.maximum(slope, np.float32(1e-12)))
    beta = (pull * logarithm + precision * mean) / (pull + precision)
    reach = np.float32(5.0) / np.sqrt(precision)
    low, high = mean - reach, mean + reach
    half = np.float32(0.5)
    for _ in range(_NEWTON_STEPS):
        rate = np.exp(beta)
        gap = rate - slope
        gradient = rate * gap * sharpness + (beta - mean) * precision
        bend = rate * np.maximum(rate, half * np.abs(gap)) * sharpness + precision
        step = np.clip(gradient / bend, np.float32(-1.0), np.float32(1.0))
        beta = np.clip(beta - step, low, high)
    rate = np.exp(beta)
    bend = rate * np.maximum(2 * rate - slope, half * rate) * sharpness + precision
    return beta, np.float32(1.0) / np.sqrt(bend)


def message(
    *,
    mean: Floats,
    variance: Floats,
    prior_mean: Floats,
    prior_variance: Floats,
    members: Floats,
) -> tuple[Floats, Floats]:
    """Return precision and information of the normal that turns prior into posterior.

    1/ε = 1/v - 1/v₀,  y/ε = m/v - m₀/v₀. A slope near zero can leave the rate less
    certain than before: 1/ε is then negative. At least -0.5/(n·v₀), so that the n
    ``members`` of an installation never undo more than half of what is known above.
    """
    precision = 1.0 / variance - 1.0 / prior_variance
    information = mean / variance - prior_mean / prior_variance
    least = -_LEAST_SHARE / (members * prior_variance)
    # where the precision is raised, keep the mean the posterior has
    raised = np.maximum(precision, least)
    return raised, information + (raised - precision) * mean
