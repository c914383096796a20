"""Broken wires: counts that accelerate.

A rope (its worst lay) breaks wires at a rate that grows as a power of its use: the
number so far is Poisson with mean λ_s·U, U = u**g (power-law process: Crow 1974). λ_s
is the class's rate times a gamma factor of the machine and one of the rope. A constant
rate would put the date of discard far too late and is never offered.

Counts are the running maximum of what was seen; what inspectors miss is allowed for.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import detection, waiting
from inspections.projection.arrays import Floats, Integers, group_sum
from inspections.projection.detection import Counts as Counts

EXPONENTS = np.linspace(0.6, 4.0, 69)
_PRIOR_EXPONENT, _PRIOR_EXPONENT_SD = 2.0, 0.7
LONGEST = 60.0
_DISPERSION_WEIGHT, _MOST_DISPERSION = 20.0, 4.0
_BY_MISSING = 1.2
"""What missing all wires would add to Pearson's square over its degrees of freedom; on
simulated ropes 1.0 to 1.4, so that clustering is rather seen too often."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountClass:
    """What a class of ropes has shown.

    exponent : g [-]; rate : λ of the class [1/clock**g]
    machine_shape, rope_shape : shapes of the gamma factors (1/variance) [-]
    detection : share of the broken wires one inspection finds
    dispersion : variance of breaks over their mean, over 1 where they come together [-]
    """

    exponent: float
    rate: float
    machine_shape: float
    rope_shape: float
    detection: float
    dispersion: float = 1.0


def conditional_log_likelihood(
    *, increment: Floats, begin: Floats, end: Floats, rope: Integers
) -> Floats:
    """Return the log likelihood of each of ``EXPONENTS``, whatever the rope's rate.

    Given their total, increments are multinomial in end**g - begin**g: the factors of
    machine and rope fall out. All (N,); begin >= 0, end > begin.
    """
    count = int(rope.max(initial=-1)) + 1
    total = group_sum(increment, rope, count)
    result = np.empty(EXPONENTS.size)
    for row, exponent in enumerate(EXPONENTS):
        use = np.maximum(end**exponent - begin**exponent, 1e-300)
        whole = np.maximum(group_sum(use, rope, count), 1e-300)
        result[row] = increment @ np.log(use) - total @ np.log(whole)
    return result


def learn(*, counts: Counts) -> CountClass:
    """Return what a class of ropes shows, ropes since removed included.

    Without any broken wire the prior exponent and a rate from half a break.
    """
    rope = np.repeat(np.arange(counts.machine.size), np.diff(counts.bounds))
    highest = detection.running_maximum(counts)
    before_count, before_clock = (
        detection.previous(highest, counts),
        detection.previous(counts.clock, counts),
    )
    evidence = conditional_log_likelihood(
        increment=highest - before_count,
        begin=before_clock,
        end=counts.clock,
        rope=rope,
    )
    evidence = (
        evidence - 0.5 * ((EXPONENTS - _PRIOR_EXPONENT) / _PRIOR_EXPONENT_SD) ** 2
    )
    share = np.exp(evidence - evidence.max())
    exponent = float(share @ EXPONENTS / share.sum())
    some = np.flatnonzero(np.diff(counts.bounds) > 0)
    last = counts.bounds[some + 1] - 1
    use = counts.clock[last] ** exponent
    found = detection.detected_share(counts, rope, exponent)
    total = detection.true_count(highest[last], counts, found, exponent)[some]
    together = _dispersion(
        increment=highest - before_count,
        use=counts.clock**exponent - before_clock**exponent,
        rope=rope,
        found=found,
    )
    rate, machine_shape, rope_shape = _factors(
        total, use, counts.machine[some], counts.machines, together
    )
    return CountClass(
        exponent=exponent,
        rate=rate,
        machine_shape=machine_shape,
        rope_shape=rope_shape,
        detection=found,
        dispersion=together,
    )


def _dispersion(
    *, increment: Floats, use: Floats, rope: Integers, found: float
) -> float:
    """Return the variance of breaks over their mean, by Pearson's square.

    Given a rope's total, its increments are multinomial if wires break one by one;
    square over degrees of freedom is then 1, whatever the rope's rate (McCullagh &
    Nelder 1989, 4.5). Wires that are missed and found later blur it; what that makes is
    taken off. Drawn to 1 with the weight of 20 increments.
    """
    count = int(rope.max(initial=-1)) + 1
    total = group_sum(increment, rope, count)
    whole = np.maximum(group_sum(use, rope, count), 1e-300)
    expected = total[rope] * use / whole[rope]
    free = float(np.sum(expected * (1.0 - use / whole[rope])))
    square = float(np.sum((increment - expected) ** 2))
    missed = _BY_MISSING * (1.0 - found) * free
    weight = _DISPERSION_WEIGHT
    share = (square - missed + weight) / (free + weight)
    # of wires that break together some are not seen: the groups look smaller
    return float(np.clip(1.0 + (share - 1.0) / found, 1.0, _MOST_DISPERSION))


def forecast(
    *,
    counts: Counts,
    limit: Floats,
    learnt: CountClass,
    probabilities: tuple[float, ...],
) -> Floats:
    """Return quantiles (P, S) of the clock from the last visit until ``limit`` (S,).

    0 where the limit is met already; at most 60; a rope without any visit is as new.
    λ_s has a gamma posterior (shape A, rate B); the further use until n more breaks is
    B times a beta-prime variable of shapes n and A.
    """
    visits = np.diff(counts.bounds)
    some = visits > 0
    last = np.maximum(counts.bounds[1:] - 1, 0)
    highest = detection.running_maximum(counts)
    seen = np.where(some, highest[last], 0.0) if highest.size else np.zeros(some.size)
    now = np.where(some, counts.clock[last], 0.0) if highest.size else seen
    use = now**learnt.exponent
    total = detection.true_count(seen, counts, learnt.detection, learnt.exponent)
    shape, rate = _posterior(total, use, counts, learnt)
    met = (limit - seen) <= 0
    need = np.where(met, 1.0, limit - seen)
    if learnt.detection >= 1.0:
        more = [
            waiting.beta_prime_quantile(p, need / learnt.dispersion, shape)
            for p in probabilities
        ]
    else:
        more = waiting.with_hidden(
            need, total - seen, shape, learnt.dispersion, probabilities
        )
    ahead = (use + rate * np.stack(list(more))) ** (1.0 / learnt.exponent) - now
    result: Floats = np.where(met, 0.0, np.minimum(ahead, LONGEST))
    return result


def hidden_count(*, counts: Counts, seen: Floats, learnt: CountClass) -> Floats:
    """Return the expected number of broken wires that nobody has found (S,)."""
    behind = detection.true_count(seen, counts, learnt.detection, learnt.exponent)
    return np.maximum(behind - seen, 0.0)


def _factors(
    total: Floats, use: Floats, machine: Integers, machines: int, together: float
) -> tuple[float, float, float]:
    """Return class rate and gamma shapes of machine and rope, by factorial moments.

    Pairs of ropes of one machine have expected product (1 + 1/α_m)·μ², one rope's
    K(K-d) has (1 + 1/α_m)(1 + 1/α_s)·μ², d the dispersion.
    """
    rate = max(float(total.sum()), 0.5) / max(float(use.sum()), 1e-12)
    machine_shape, rope_shape = 4.0, 10.0
    for _ in range(6):
        expected = rate * use
        sum_k = group_sum(total, machine, machines)
        sum_e = group_sum(expected, machine, machines)
        weight = 1.0 / (1.0 + sum_e / machine_shape)
        rate *= max(float(weight @ sum_k), 0.5) / max(float(weight @ sum_e), 1e-12)
        expected = rate * use
        sum_e = group_sum(expected, machine, machines)
        weight = 1.0 / (1.0 + sum_e / machine_shape) ** 2
        square_k = group_sum(total * total, machine, machines)
        square_e = group_sum(expected * expected, machine, machines)
        pairs = float(weight @ (sum_k**2 - square_k)) + 1.25
        pairs /= float(weight @ (sum_e**2 - square_e)) + 1.0
        own = float((weight[machine] * total) @ (total - together)) + 1.4
        own /= float((weight[machine] * expected) @ expected) + 1.0
        machine_shape = 1.0 / float(np.clip(pairs - 1.0, 0.01, 3.0))
        rope_shape = 1.0 / float(np.clip(own / max(pairs, 1e-9) - 1.0, 0.04, 2.0))
    return rate, machine_shape, rope_shape


def _posterior(
    total: Floats, use: Floats, counts: Counts, learnt: CountClass
) -> tuple[Floats, Floats]:
    """Return shape A and rate B of each rope's λ, siblings' counts taken in.

    Siblings say less than their number, for each has a factor of its own; wires that
    break together count as the groups they come in, λ as that of groups.
    """
    together = learnt.dispersion
    total = total / together
    machine, machines = counts.machine, counts.machines
    expected = learnt.rate / together * use
    worth = 1.0 / (1.0 + expected / learnt.rope_shape)
    sum_k = group_sum(total * worth, machine, machines)
    sum_e = group_sum(expected * worth, machine, machines)
    others_shape = learnt.machine_shape + sum_k[machine] - total * worth
    others_rate = learnt.machine_shape + sum_e[machine] - expected * worth
    factor = others_shape / others_rate
    # what one more look would add is not known: it blurs λ as a wider factor would
    unseen = (1.0 - learnt.detection) / learnt.detection
    own = 1.0 / learnt.rope_shape + unseen / np.maximum(total * together, 1.0)
    prior = 1.0 / (own + 1.0 / others_shape + own / others_shape)
    return prior + total, prior / (learnt.rate / together * factor) + use
