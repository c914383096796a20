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


def open_share(*, used, middle, told, lead, spread, unevenness):
    """Share of the spread that is open when work is ordered: halved until it is found.

    told : years to the planning date at a normal deviate
    """

    def variance(passed):
        rate = 1.0 / (1.0 / spread**2 + passed / unevenness**2)
        return unevenness**2 * (1.0 - passed) + (1.0 - passed) ** 2 * rate

    def learns_on(share):
        ordered = (told(NORMAL.inv_cdf(0.02) * share) - lead) / middle
        passed = used + (1.0 - used) * min(max(ordered, 0.0), 1.0)
        return variance(passed) < share**2 * variance(used)

    if variance(used) <= 0.0 or not learns_on(1.0):
        return 1.0
    # From 1 down, for there may be several: the first is where people stop reading.
    share = 1.0
    while share > 0.0 and learns_on(share):
        share -= 0.0005
    return max(share, 0.0)


class Place:
    """One limit: years to it and to its planning date, now and after a renewal."""

    def __init__(self, limit, *, as_of, lead, spread, unevenness):
        self.limit, self.group = limit, GROUPS[limit.quantity]
        self.as_of, self.spread = as_of, spread
        self.life = limit.limit / limit.rate_per_year
        given = {"lead": lead, "spread": spread, "unevenness": unevenness}
        self.open_now = open_share(
            used=min(limit.level / limit.limit, 1.0),
            middle=self.running(0.0),
            told=self.running,
            **given,
        )
        self.open_later = open_share(
            used=0.0, middle=self.life, told=self.to_come, **given
        )

    def running(self, z):
        return quantile(self.limit, z, self.as_of)

    def to_come(self, z):
        return max(self.life * exp(self.spread * z), 0.1)


def one_draw(random, machines, *, leads, in_class, on_machine, horizon, cuts):
    """Yield (years, kind, years stood) of every work in one possible future.

    machines : places by machine
    """
    classes, alone = {}, sqrt(1.0 - in_class - on_machine)
    for places in machines:
        shared = {}

        def deviate(place, what, shared=shared):
            name = (place.limit.wear_class, what)
            classes.setdefault(name, random.gauss(0, 1))
            shared.setdefault(what, random.gauss(0, 1))
            return (
                sqrt(in_class) * classes[name]
                + sqrt(on_machine) * shared[what]
                + alone * random.gauss(0, 1)
            )

        def run(group, later, deviate=deviate, places=places):
            """Return when a group's first place is planned for, and when one ends."""
            told, met = [], []
            for place in places:
                if place.group != group:
                    continue
                share = place.open_later if later else place.open_now
                years = place.to_come if later else place.running
                read, still = deviate(place, "read"), deviate(place, "open")
                known = sqrt(1.0 - share**2)
                told.append(years(known * read + NORMAL.inv_cdf(0.02) * share))
                met.append(years(known * read + share * still))
            return min(told), min(met)

        groups = sorted({place.group for place in places})
        yield from works(groups, run, leads=leads, horizon=horizon, cuts=cuts)


def works(groups, run, *, leads, horizon, cuts):
    left, done, stops = cuts, {}, {}

    def begin(group, at, later):
        told, met = run(group, later)
        cutting = "REGROOVE_IN_SHOP" if left > 0 else "REPLACE_SHEAVE"
        kind = {"seats": cutting, "ropes": "RE_ROPE", "runby": "SHORTEN"}[group]
        done[group] = at + max(told, leads[kind])
        stops[group] = at + met
        if stops[group] < done[group]:
            done[group] = min(done[group], stops[group] + leads[kind])

    for group in groups:
        begin(group, 0.0, False)
    counted = 0.0
    while min(done.values()) < horizon:
        at = min(done.values())
        due = {group for group, day in done.items() if day <= at + 1.0}
        if "seats" in due:
            kind = "REGROOVE_IN_SHOP" if left > 0 else "REPLACE_SHEAVE"
            left = left - 1 if left > 0 else 1
        else:
            kind = "RE_ROPE" if "ropes" in due else "SHORTEN"
        renewed = [group for group in RENEWS[kind] if group in done]
        since = max(min(stops[group] for group in renewed), counted)
        yield at, kind, max(at - since, 0.0)
        if since < at:
            counted = at
        for group in renewed:
            begin(group, at, True)
    since = max(min(stops.values()), counted)
    yield horizon, None, max(horizon - since, 0.0)


def simulate(
    machines, *, prices, leads, as_of, until, draws, seed, spread, unevenness, **shares
):
    """Return draws of (works by kind, cost, years stood) over the portfolio."""
    random, found = Random(seed), []
    answers = {"seats": "REGROOVE_IN_SHOP", "ropes": "RE_ROPE", "runby": "SHORTEN"}
    places = [
        [
            Place(
                limit,
                as_of=as_of,
                lead=leads[answers[GROUPS[limit.quantity]]],
                spread=spread,
                unevenness=unevenness,
            )
            for limit in machine.ahead
        ]
        for machine in machines
    ]
    horizon = years(as_of, until)
    for _ in range(draws):
        price = {
            k: random.triangular(low, high, mid)
            for k, (low, mid, high) in prices.items()
        }
        counts, cost, stood = {}, 0.0, 0.0
        for _, kind, waited in one_draw(
            random, places, leads=leads, horizon=horizon, **shares
        ):
            stood += waited
            if kind is not None:
                counts[kind] = counts.get(kind, 0) + 1
                cost += price[kind]
        found.append((counts, cost, stood))
    return found
