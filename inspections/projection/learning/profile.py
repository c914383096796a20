"""The rate profile of a class: common curvature, its error, and how machines differ.

Each machine's readings say how far they bow (``curvature.evidence``: slope and weight
of a log likelihood in δ). Shares of machines at each step of δ by expectation-
maximisation (nonparametric maximum likelihood: Laird, JASA 73, 1978). Both are kept
straight unless the fleet is clear: machines replaced early are those whose wear ran
ahead, so wandering rates look a little like rising ones.
"""

import dataclasses

import numpy as np

from inspections.projection import curvature
from inspections.projection.arrays import Floats, group_sum
from inspections.projection.fitting import Fit
from inspections.projection.hyper import CURVATURE_STEPS, ClassHyperparameters

CURVATURE_RANGE = 2.5
_PRIOR_SD = 0.5
"""Curvature of a class nobody has seen: log rate ratio from zero wear to the limit."""
_DOUBTFUL = 0.25
"""Curvatures under this are as likely selection as wear."""
_ROUNDS = 15
_LARGEST_STEP = 0.7
_START = np.where(CURVATURE_STEPS == 0.0, 0.91, 0.03)
_STRAIGHT = np.where(CURVATURE_STEPS == 0.0, 1.0, 0.0)
_CLEAR_GAIN = 6.0
"""Log likelihood the shares must gain over "all as the class" to be believed."""


def step(*, fitted: Fit, hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Return the hyper-parameters with curvature, its error and weights learnt."""
    chunk, inferred = fitted.chunk, fitted.inferred
    score, weight = curvature.evidence(
        moments=inferred.sums,
        rate=inferred.bend.rate,
        limit_mm=chunk.limit_mm,
        noise_factor=inferred.noise_factor,
        hierarchy=chunk.hierarchy,
        hyper=hyper,
    )
    theta, error = hyper.curvature.copy(), hyper.curvature_sd.copy()
    shares = hyper.curvature_weights.copy()
    for number in range(hyper.classes):
        of = np.flatnonzero(chunk.hierarchy.class_of_machine == number)
        if of.size:
            theta[number], error[number], shares[number] = _class(
                score[of], weight[of], float(hyper.curvature[number])
            )
    return dataclasses.replace(
        hyper, curvature=theta, curvature_sd=error, curvature_weights=shares
    )


def _class(score: Floats, weight: Floats, theta: float) -> tuple[float, float, Floats]:
    """Return curvature, its error and the shares of steps of one class.

    score, weight : (M,) evidence of its machines about the distance from ``theta``
    """
    prior = 1.0 / _PRIOR_SD**2
    shift, shares = 0.0, _START
    for _ in range(_ROUNDS):
        share = _assign(score - weight * shift, weight, shares)
        shares = share.mean(axis=0)
        own = share @ CURVATURE_STEPS
        pull = np.sum(score - weight * (own + shift)) - prior * (theta + shift)
        shift += float(pull / (weight.sum() + prior))
        # the common part is where the median machine is
        middle = float(CURVATURE_STEPS[np.searchsorted(np.cumsum(shares), 0.5)])
        shift, shares = shift + middle, _moved(shares, middle)
    spread = float(shares @ CURVATURE_STEPS**2)
    error = float(1.0 / np.sqrt(np.sum(weight / (1.0 + weight * spread)) + prior))
    found = _believed(theta + np.clip(shift, -_LARGEST_STEP, _LARGEST_STEP), error)
    return found, error, _shares(score - weight * (found - theta), weight)


def _assign(score: Floats, weight: Floats, shares: Floats) -> Floats:
    prior = np.broadcast_to(shares, (score.size, shares.size))
    return curvature.step_weights(score=score, weight=weight, prior=prior)


def _shares(score: Floats, weight: Floats) -> Floats:
    """Return the shares of steps about a fixed curvature, all-as-class unless clear.

    Shares of which the middle lies off the class tell what its curvature lacks so far,
    for one round moves it by no more than a step, and not how machines differ.
    """
    shares = _START
    for _ in range(_ROUNDS):
        shares = _assign(score, weight, shares).mean(axis=0)
    steps = CURVATURE_STEPS
    exponent = score[:, None] * steps - 0.5 * weight[:, None] * steps**2
    gain = float(np.log(np.exp(np.minimum(exponent, 50.0)) @ shares).sum())
    is_common = steps[np.searchsorted(np.cumsum(shares), 0.5)] == 0.0
    return shares if is_common and gain > _CLEAR_GAIN else _STRAIGHT


def _believed(theta: float, error: float) -> float:
    """Return θ drawn to zero while it is under its doubt: θ·(1 - (doubt/θ)⁴)."""
    theta = float(np.clip(theta, -CURVATURE_RANGE, CURVATURE_RANGE))
    doubt = float(np.hypot(2.0 * error, _DOUBTFUL))
    kept = 1.0 - (doubt / max(abs(theta), 1e-9)) ** 4
    return theta * max(0.0, float(kept))


def _moved(shares: Floats, by: float) -> Floats:
    """Return the shares with their median step moved to zero; ends gather the rest."""
    if by == 0.0:
        return shares
    steps = np.clip(CURVATURE_STEPS - by, CURVATURE_STEPS[0], CURVATURE_STEPS[-1])
    at = np.abs(steps[:, None] - CURVATURE_STEPS).argmin(axis=1)
    return group_sum(shares, at, CURVATURE_STEPS.size)
