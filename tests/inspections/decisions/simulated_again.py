"""The budget's simulation written a second time: plain Python, one draw at a time.

An independent route: nothing of `inspections.decisions` is used but the records. Random
numbers come from `random`, dates are interpolated and works chosen in plain loops.
"""

from math import exp, log, sqrt
from random import Random
from statistics import NormalDist

NORMAL = NormalDist()
GROUPS = {
    "seat_depth": "seats",
    "diameter_loss": "ropes",
    "broken_wires": "ropes",
    "counterweight_runby": "runby",
}
RENEWS = {
    "RE_ROPE": ("ropes", "runby"),
    "REGROOVE_IN_SHOP": ("seats", "ropes", "runby"),
    "REPLACE_SHEAVE": ("seats", "ropes", "runby"),
    "SHORTEN": ("runby",),
}


def years(earlier, later):
    return (later - earlier).days / 365.25


def quantile(limit, z, as_of):
    """Years from as_of to the limit at a normal deviate, by its shown dates."""
    known = [
        (NORMAL.inv_cdf(p), log(years(limit.last_on, day)))
        for p, day in (
            (0.02, limit.p02_on),
            (0.10, limit.p10_on),
            (0.50, limit.p50_on),
            (0.90, limit.p90_on),
        )
    ]
    if z <= known[0][0]:
        left, right = known[0], known[1]
    elif z >= known[-1][0]:
        left, right = known[-2], known[-1]
    else:
        right = next(pair for pair in known if pair[0] >= z)
        left = known[known.index(right) - 1]
    slope = (right[1] - left[1]) / (right[0] - left[0])
    ahead = exp(left[1] + slope * (z - left[0]))
    return max(ahead + years(as_of, limit.last_on), 0.0)


def one_draw(random, machines, *, as_of, horizon, in_class, on_machine, spread, cuts):
    """Yield (years, kind) of every work of the portfolio in one possible future."""
    classes, alone = {}, sqrt(1.0 - in_class - on_machine)
    for machine in machines:
        shared = {}

        def deviate(limit, shared=shared):
            name = limit.wear_class
            group = GROUPS[limit.quantity]
            classes.setdefault(name, random.gauss(0, 1))
            shared.setdefault(group, random.gauss(0, 1))
            return (
                sqrt(in_class) * classes[name]
                + sqrt(on_machine) * shared[group]
                + alone * random.gauss(0, 1)
            )

        def life(group, deviate=deviate, machine=machine):
            return min(
                max(
                    limit.limit / limit.rate_per_year * exp(spread * deviate(limit)),
                    0.1,
                )
                for limit in machine.ahead
                if GROUPS[limit.quantity] == group
            )

        groups = {GROUPS[limit.quantity] for limit in machine.ahead}
        ends = {
            group: min(
                quantile(limit, deviate(limit), as_of)
                for limit in machine.ahead
                if GROUPS[limit.quantity] == group
            )
            for group in sorted(groups)
        }
        yield from works(ends, life, horizon=horizon, cuts=cuts)


def works(ends, life, *, horizon, cuts):
    left = cuts
    while ends and min(ends.values()) < horizon:
        at = min(ends.values())
        due = {group for group, day in ends.items() if day <= at + 1.0}
        if "seats" in due:
            kind = "REGROOVE_IN_SHOP" if left > 0 else "REPLACE_SHEAVE"
            left = left - 1 if left > 0 else 1
        else:
            kind = "RE_ROPE" if "ropes" in due else "SHORTEN"
        yield at, kind
        for group in RENEWS[kind]:
            if group in ends:
                ends[group] = at + life(group)


def simulate(machines, *, prices, as_of, until, draws, seed, **spreads):
    """Return draws of (works by kind, cost) over the portfolio until a day."""
    random = Random(seed)
    found = []
    for _ in range(draws):
        price = {
            k: random.triangular(low, high, mid)
            for k, (low, mid, high) in prices.items()
        }
        counts, cost = {}, 0.0
        horizon = years(as_of, until)
        for _, kind in one_draw(
            random, machines, as_of=as_of, horizon=horizon, **spreads
        ):
            counts[kind] = counts.get(kind, 0) + 1
            cost += price[kind]
        found.append((counts, cost))
    return found
