"""How often is the limit of a machine met before the day it is planned by?

One origin a machine, the day its records end, drawn before its wear; nothing is
censored, for the truth is known, and no date counts as never. The earliest P2 of a
machine's parts is what is planned by.
"""

import dataclasses
import time
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from inspections.projection import guarding, planning, usage
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning.learn import learn
from tests.benchmarks import calibration, fleets, last_visits
from tests.benchmarks.fleets import Fleet

CHANCE = 0.02
GROUPS, LEARNT_FROM = 5000, 600
QUICK_GROUPS, QUICK_LEARNT_FROM = 500, 250
QUICK_SIZES, SIZES = (75,), (75, 300, 600)
MIXED_GROUPS = 300
"""Of which a quarter are of the class whose last visits are judged."""
NEAR_LIMIT = 0.9
LEAST_YEARS = 0.01
"""Time given up is a share of the time planned before; less than that is none."""


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """Machines (M,): the limit was met before the plan; years to it; what they are.

    curve, plan : years to the day by the curve alone, and to the one planned by
    """

    truth: np.ndarray
    curve: np.ndarray
    plan: np.ndarray
    visits: np.ndarray
    near_limit: np.ndarray
    law: np.ndarray


def learnt_from(fleet: Fleet, *, on_usage: bool) -> ClassHyperparameters:
    clock = fleet.usage if on_usage else fleet.years
    arguments = calibration.arranged(fleet, clock=clock)
    return learn(**arguments, hyper=calibration.beginnings())


def planned(
    fleet: Fleet,
    learnt: ClassHyperparameters,
    *,
    on_usage: bool,
    beside: Fleet | None = None,
) -> np.ndarray:
    """Return (2, S) years from the last visit: by the curve, and guarded.

    beside : a fleet whose counters tell what is usual
    """
    clock = fleet.usage if on_usage else fleet.years
    arguments = calibration.arranged(fleet, clock=clock)
    by_series = None
    if on_usage:
        by_machine = usage.forecast_usage(**counters(fleet, beside))
        by_series = by_machine.select(arguments["hierarchy"].machine_of_series)
    case = planning.Planned(**arguments, probabilities=(CHANCE,), usage=by_series)
    curve = planning.plan(case, hyper=learnt)
    guarded = guarding.guard(case, planned=curve, hyper=learnt).years
    return np.stack([curve[0], guarded[0]])


def counters(fleet: Fleet, beside: Fleet | None) -> dict[str, np.ndarray]:
    """Return the counters of a fleet, those of another behind them."""
    others = [] if beside is None else [beside]
    lengths = [np.diff(each.counter_bounds) for each in (fleet, *others)]
    return {
        "years": np.concatenate([e.counter_years for e in (fleet, *others)]),
        "count": np.concatenate([e.counter_usage for e in (fleet, *others)]),
        "bounds": np.concatenate([[0], np.cumsum(np.concatenate(lengths))]),
    }


def by_machine(fleet: Fleet, years: np.ndarray, chosen: np.ndarray) -> Judged:
    """Return the earliest of each machine's chosen series."""
    machine = fleet.machine_of_epoch[fleet.epoch_of_series][chosen]
    count = fleet.class_of_machine.size

    def least(values: np.ndarray) -> np.ndarray:
        found = np.full(count, np.inf)
        np.minimum.at(found, machine, values)
        return found

    def most(values: np.ndarray) -> np.ndarray:
        found = np.zeros(count)
        np.maximum.at(found, machine, values)
        return found

    some = np.unique(machine)
    last = np.cumsum(fleet.counts) - 1
    depth = fleet.level_mm[last] / fleet.limit_mm
    return Judged(
        truth=least(fleet.remaining_years[chosen])[some],
        curve=least(years[0][chosen])[some],
        plan=least(years[1][chosen])[some],
        visits=most(fleet.visits_of_series[chosen])[some],
        near_limit=most(depth[chosen])[some] > NEAR_LIMIT,
        law=fleet.law_of_machine[some],
    )


def first_visits(fleet: Fleet) -> Fleet:
    """Return the first installation of each machine as it was at its first visit: with
    what its counter showed then, and nothing that it showed later."""
    series = np.repeat(np.arange(fleet.counts.size), fleet.counts)
    place = np.arange(series.size) - np.repeat(
        np.cumsum(fleet.counts) - fleet.counts, fleet.counts
    )
    kept = place <= np.where(fleet.known, 1, 0)[series]
    last = np.cumsum(fleet.counts) - 1
    at = np.flatnonzero(kept)
    counts = np.bincount(series[at], minlength=fleet.counts.size)
    first = at[np.cumsum(counts) - 1]
    later = fleet.years[last] - fleet.years[first]
    machines = fleet.class_of_machine.size
    first_count = fleet.counter_bounds[:-1]
    return dataclasses.replace(
        fleet,
        years=fleet.years[kept],
        usage=fleet.usage[kept],
        level_mm=fleet.level_mm[kept],
        tolerance_mm=fleet.tolerance_mm[kept],
        visit=fleet.visit[kept],
        counts=counts,
        remaining_years=fleet.remaining_years + later,
        visits_of_series=np.minimum(fleet.visits_of_series, 1),
        counter_years=fleet.counter_years[first_count],
        counter_usage=fleet.counter_usage[first_count],
        counter_bounds=np.arange(machines + 1),
    )


def late(judged: Judged, chosen: np.ndarray | None = None) -> dict[str, float]:
    """Return how many in a hundred meet the limit before the day planned by."""
    some = np.ones(judged.truth.size, dtype=bool) if chosen is None else chosen
    if not some.any():
        return {"machines": 0}
    share = {
        name: round(100 * float(np.mean((judged.truth < years)[some])), 2)
        for name, years in (("late_by_curve", judged.curve), ("late", judged.plan))
    }
    return {"machines": int(some.sum()), **share}


def given_up(judged: Judged, chosen: np.ndarray) -> dict[str, float]:
    """Return how much of the time planned by the curve the guard gives up [%]."""
    some = chosen & (judged.curve > LEAST_YEARS) & np.isfinite(judged.curve)
    if not some.any():
        return {}
    lost = 100 * (1.0 - np.maximum(judged.plan[some], 0.0) / judged.curve[some])
    return {
        "median": round(float(np.median(lost)), 2),
        "mean": round(float(lost.mean()), 2),
        "p90": round(float(np.quantile(lost, 0.9)), 2),
    }


def judge_law(*, seed: int, law: str, groups: int, learnt_groups: int) -> dict:
    """Return the report of one law: machines of one fleet, taught by another's."""
    on_usage = law == "season"
    # the seeds of both fleets lie apart, so that nothing learnt is judged
    teaching = fleets.make_fleet(seed=seed + 500_000, groups=learnt_groups, law=law)
    learnt = learnt_from(teaching, on_usage=on_usage)
    fleet = fleets.make_fleet(seed=seed, groups=groups, law=law)
    years = planned(fleet, learnt, on_usage=on_usage)
    open_series = fleet.current & (fleet.visits_of_series >= 1)
    judged = by_machine(fleet, years, open_series)
    truth, by_series = fleet.remaining_years[open_series], years[:, open_series]
    report: dict = {
        "series_late": round(100 * float(np.mean(truth < by_series[1])), 2),
        "per_machine": late(judged),
        "near_limit": late(judged, judged.near_limit),
    }
    for low, high in calibration.READING_STRATA:
        inside = (judged.visits >= low) & (judged.visits <= high)
        name = f"readings {low}-{high}" if high < 10_000 else f"readings {low}+"
        report[name] = late(judged, inside)
    report["first_reading_only"] = late(
        _at_first_visit(fleet, learnt, on_usage, teaching)
    )
    if law in ("linear", "mix"):
        report["given_up_by_even"] = given_up(judged, judged.law == "linear")
    if law == "mix":
        report["speeding_up"] = late(judged, judged.law == "accel")
    return report


def _at_first_visit(
    fleet: Fleet, learnt: ClassHyperparameters, on_usage: bool, beside: Fleet
) -> Judged:
    machine = fleet.machine_of_epoch[fleet.epoch_of_series]
    first = np.full(fleet.class_of_machine.size, fleet.epoch_of_series.size)
    read = fleet.visits_of_series >= 1
    np.minimum.at(first, machine[read], fleet.epoch_of_series[read])
    chosen = read & (fleet.epoch_of_series == first[machine])
    early = first_visits(fleet)
    years = planned(early, learnt, on_usage=on_usage, beside=beside)
    return by_machine(early, years, chosen)


def judge_last_visits(
    *, seed: int, kind: str, machines: int, sizes: tuple[int, ...]
) -> dict:
    """Return how late one kind of machine is at its last visit, by what taught."""
    rng = np.random.default_rng([seed, last_visits.KINDS.index(kind)])
    lives = last_visits.made(rng, [kind] * machines, to_last_visit=True)
    truth = last_visits.earliest(lives.remaining_years)
    mixed = fleets.make_fleet(seed=seed + 700_000, groups=MIXED_GROUPS, law="mix")
    of_class = last_visits.first_class(learnt_from(mixed, on_usage=False))
    report: dict = {}
    for name, learnt in last_visits.classes(rng, kind, sizes=sizes, mixed=of_class):
        years = last_visits.planned(lives, learnt)
        names = ("late_by_curve", "late", "late_where_depth_is_known")
        report[name] = {
            each: round(100 * float(np.mean(truth < plan)), 1)
            for each, plan in zip(names, years, strict=True)
        }
    return report


def _task(given: tuple[str, str, int, bool]) -> tuple[str, str, dict]:
    what, name, seed, quick = given
    began = time.process_time()
    if what == "laws":
        found = judge_law(
            seed=seed,
            law=name,
            groups=QUICK_GROUPS if quick else GROUPS,
            learnt_groups=QUICK_LEARNT_FROM if quick else LEARNT_FROM,
        )
    else:
        found = judge_last_visits(
            seed=seed,
            kind=name,
            machines=50 if quick else 200,
            sizes=QUICK_SIZES if quick else SIZES,
        )
    found["cpu_seconds"] = round(time.process_time() - began, 1)
    return what, name, found


def run(*, seed: int, laws: list[str], quick: bool, jobs: int) -> dict:
    """Return ``laws`` and ``last_visits``, both unsafe side first."""
    tasks = [("laws", law, seed, quick) for law in laws]
    tasks += [("last_visits", kind, seed, quick) for kind in last_visits.KINDS]
    report: dict = {"seed": seed, "laws": {}, "last_visits": {}}
    began = time.perf_counter()
    with ProcessPoolExecutor(max_workers=jobs) as pool:
        for what, name, found in pool.map(_task, tasks):
            report[what][name] = found
    parts = [*report["laws"].values(), *report["last_visits"].values()]
    report["cpu_seconds"] = round(sum(part["cpu_seconds"] for part in parts), 1)
    report["seconds"] = round(time.perf_counter() - began, 1)
    return report
