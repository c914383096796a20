"""Does one machine's wear speed up more than its class does?

Each machine's rate profile may differ from that of its class by δ, one of a few steps
whose shares in the class are known (``Hyperparameters.curvature_weights``). To first
order in δ the straightened level becomes y + δ·g(y), g = L·z·(1-z)/2, z = y/L. Along
the fitted line g is a parabola in time, so what a series says about δ is how far its
readings bow: with κ = b²/(2L), residual bend sums B (spread) and C (cross),

    log p(readings | δ) = δ·κ·C - δ²·κ²·B/2 + const.

Evaluating g on the fitted line, not at the noisy reading, keeps gauge noise from
posing as curvature.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, group_sum
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import CURVATURE_STEPS, ClassHyperparameters
from inspections.projection.moments import Moments


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseBend:
    """Extra curvature of each series' machine, and what one unit of it changes (S,).

    mean, variance : of δ [-]
    rate : b it was judged at [mm/clock]
    kappa : b²/(2L), bow of the readings per unit of δ [mm/clock²]
    slope_per_unit : change of the fitted slope [mm/clock]
    level_per_unit : change of the level at the centroid [mm]
    stretch : factor on the noise of the straightened readings [-]
    """

    mean: Floats
    variance: Floats
    rate: Floats
    kappa: Floats
    slope_per_unit: Floats
    level_per_unit: Floats
    stretch: Floats


def vary(hyper: ClassHyperparameters) -> bool:
    """Return whether any class has machines that differ from it."""
    others = hyper.curvature_weights[:, CURVATURE_STEPS != 0.0]
    return bool(np.any(others > 0))


def evidence(
    *,
    moments: Moments,
    rate: Floats,
    limit_mm: Floats,
    noise_factor: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> tuple[Floats, Floats]:
    """Return slope and curvature (M,) of each machine's log likelihood in δ.

    Errors shared by a visit are not independent evidence: n series that share ρ of
    their noise count for 1/(1 + (n - 1)·ρ) of their sum.
    """
    kappa = rate**2 / (2.0 * limit_mm)
    epoch = hierarchy.epoch_of_series
    members = np.bincount(epoch, minlength=hierarchy.epochs)[epoch]
    share = hyper.visit_share[hierarchy.class_of_series]
    worth = 1.0 / (noise_factor * (1.0 + (members - 1) * share))
    score = group_sum(worth * kappa * moments.bend_cross, epoch, hierarchy.epochs)
    weight = group_sum(worth * kappa**2 * moments.bend_spread, epoch, hierarchy.epochs)
    wandered = group_sum(
        worth * moments.bend_spread * _wandering(moments, rate, hierarchy, hyper),
        epoch,
        hierarchy.epochs,
    )
    trust = 1.0 / (1.0 + wandered)
    machine = hierarchy.machine_of_epoch
    return (
        group_sum(score * trust, machine, hierarchy.machines),
        group_sum(weight * trust, machine, hierarchy.machines),
    )


def _wandering(
    moments: Moments, rate: Floats, hierarchy: Hierarchy, hyper: ClassHyperparameters
) -> Floats:
    """Return the variance (S,) of the bow that drift and bursts alone would show.

    The parabola fitted to an integrated random walk over a span H has coefficient
    variance 0.3·ψ²b²/H, to a random walk 4.3·φ²b²/H³ [mm²/clock⁴].
    """
    of = hierarchy.class_of_series
    span = np.sqrt(12.0 * moments.spread / moments.precision)
    span = np.maximum(span, 0.1)
    shown = 0.3 * hyper.drift[of] ** 2 / span + 4.3 * hyper.burst[of] ** 2 / (
        span * span * span
    )
    bow: Floats = shown * rate**2
    return bow


def step_weights(*, score: Floats, weight: Floats, prior: Floats) -> Floats:
    """Return the posterior share (M, K) of each step given prior shares (M, K)."""
    steps = CURVATURE_STEPS
    exponent = score[:, None] * steps - 0.5 * weight[:, None] * steps**2
    exponent += np.log(np.maximum(prior, 1e-12))
    exponent -= exponent.max(axis=1, keepdims=True)
    share: Floats = np.exp(exponent)
    share /= share.sum(axis=1, keepdims=True)
    return share


def bend(
    *,
    moments: Moments,
    level: Floats,
    limit_mm: Floats,
    rate: Floats,
    noise_factor: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> CourseBend:
    """Return the machine's extra curvature for each series, zero where none is known.

    level : (S,) straightened level at the centroid [mm]; rate : (S,) b [mm/clock]
    """
    depth = np.clip(level / limit_mm, 0.0, 1.0)
    kappa = rate**2 / (2.0 * limit_mm)
    slope = rate * (0.5 - depth) - kappa * moments.bend_slope
    height = 0.5 * limit_mm * depth * (1.0 - depth)
    height = height - kappa * moments.spread / moments.precision
    nothing = np.zeros_like(rate)
    if not vary(hyper):
        return CourseBend(
            mean=nothing,
            variance=nothing,
            rate=rate,
            kappa=kappa,
            slope_per_unit=slope,
            level_per_unit=height,
            stretch=np.ones_like(rate),
        )
    score, weight = evidence(
        moments=moments,
        rate=rate,
        limit_mm=limit_mm,
        noise_factor=noise_factor,
        hierarchy=hierarchy,
        hyper=hyper,
    )
    share = step_weights(
        score=score,
        weight=weight,
        prior=hyper.curvature_weights[hierarchy.class_of_machine],
    )
    machine = hierarchy.machine_of_series
    mean = (share @ CURVATURE_STEPS).astype(rate.dtype)
    variance = (share @ CURVATURE_STEPS**2).astype(rate.dtype) - mean**2
    mean_of_series = mean[machine]
    return CourseBend(
        mean=mean_of_series,
        variance=np.maximum(variance[machine], 0.0),
        rate=rate,
        kappa=kappa,
        slope_per_unit=slope,
        level_per_unit=height,
        stretch=np.maximum(1.0 + mean_of_series * (0.5 - depth), 0.3),
    )
