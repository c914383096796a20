"""With which spread and correlations a class is followed: the rule, or the fleet's."""

from inspections.decisions.records import ClassTaken, Learnt, Threshold, Thresholds

# So many machines, pairs, half-years weigh as much as the rule; our rule.
WORTH_OF_RULE = {"rate_spread": 10, "shared_on_machine": 100, "shared_in_class": 10}
MOST_SHARED = 0.95


def taken(*, name: str, learnt: Learnt, thresholds: Thresholds) -> ClassTaken:
    """Return what a class is followed with.

    What the fleet showed counts n / (n + the worth of the rule), the rule the rest;
    variances are drawn together, not their roots. A threshold that the contractor has
    changed holds for every class as it was set.
    """
    of = learnt.of(name)
    spread, machines = _drawn(
        thresholds.row("rate_spread"),
        None if of.rate_spread is None else of.rate_spread**2,
        of.machines,
        square=True,
    )
    in_class, periods = _drawn(
        thresholds.row("shared_in_class"), of.between, of.periods
    )
    beside = None if of.within is None else max(of.within - max(in_class, 0.0), 0.0)
    on_machine, pairs = _drawn(thresholds.row("shared_on_machine"), beside, of.pairs)
    return ClassTaken(
        name=name,
        rate_spread=spread**0.5,
        on_machine=min(on_machine, MOST_SHARED - in_class),
        in_class=in_class,
        machines=machines,
        pairs=pairs,
        periods=periods,
    )


def _drawn(
    rule: Threshold, shown: float | None, count: int, *, square: bool = False
) -> tuple[float, int]:
    """Return the value taken, and how many it rests on."""
    set_at = rule.value**2 if square else rule.value
    if rule.is_changed or shown is None or count <= 0:
        return set_at, 0
    share = count / (count + WORTH_OF_RULE[rule.name])
    low, high = (end**2 if square else end for end in (rule.low, rule.high))
    return min(max(share * shown + (1.0 - share) * set_at, low), high), count
