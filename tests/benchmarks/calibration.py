"""Are the dates as sure as they say? ``python -m tests.benchmarks.calibration --json``

``--planned`` asks only whether limits are met before the dates planned by
(``planned_dates``), ``--quick`` the same of small fleets, under a minute. ``--laws``
runs some laws alone. No share needs a quiet machine; only ``seconds`` do.

Fleets with known truth are forecast with hyper-parameters learnt from the same fleet,
from deliberately wrong beginnings (rates x1.4, gauge noise x1.5, wide spreads).
"""

import argparse
import json
import pathlib
import sys
import time
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from inspections.projection import forecasting, hyper, series, usage
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning.learn import learn
from inspections.projection.limits import Limits
from inspections.projection.scoring import pinball
from tests.benchmarks import competitors, counts, fleets
from tests.benchmarks.fleets import CLASSES, Fleet
from tests.benchmarks.scores import crps

PROBABILITIES = tuple(round(0.05 * k, 2) for k in range(1, 20))
P10, P50, P90 = 1, 9, 17
LONGEST_SCORED = 25.0
GROUPS = 1200
ORACLE = pathlib.Path(__file__).with_name("exact_posterior.json")
READING_STRATA = ((1, 1), (2, 2), (3, 3), (4, 6), (7, 12), (13, 10_000))
HORIZON_BANDS = ((-99, 1), (1, 3), (3, 6), (6, 12), (12, 25), (25, 99))


def arranged(fleet: Fleet, *, clock: np.ndarray) -> dict:
    """Return a fleet as arguments of ``learn`` and ``forecast``, gauges 1.5 too bad."""
    tree = Hierarchy(
        epoch_of_series=fleet.epoch_of_series,
        machine_of_epoch=fleet.machine_of_epoch,
        class_of_machine=fleet.class_of_machine,
    )
    noise = [1.5 * np.hypot(c.noise_mm, c.step_mm / np.sqrt(12)) for c in CLASSES]
    installation = np.isfinite(fleet.tolerance_mm)
    measured = np.repeat(np.array(noise)[tree.class_of_series], fleet.counts)
    count = fleet.counts.size
    found = series.arrange(
        series=np.repeat(np.arange(count), fleet.counts),
        clock=clock,
        level_mm=fleet.level_mm,
        noise_mm=np.where(installation, fleet.tolerance_mm, measured),
        visit=fleet.visit,
        installation=installation,
        series_count=count,
    )
    return {
        "readings": found.readings,
        "hierarchy": tree,
        "limits": Limits(limit_mm=fleet.limit_mm, limit_sd_mm=np.zeros(count)),
        "known_installation": fleet.known,
    }


def beginnings() -> ClassHyperparameters:
    rates = np.array([1.4 * c.median_mm_per_year for c in CLASSES])
    return hyper.starting(rate_per_clock=rates)


def forecast(fleet: Fleet, *, on_usage: bool) -> np.ndarray:
    """Return quantiles (19, S) in years, everything learnt from the fleet itself."""
    arguments = arranged(fleet, clock=fleet.usage if on_usage else fleet.years)
    learnt = learn(**arguments, hyper=beginnings())
    by_series = None
    if on_usage:
        by_machine = usage.forecast_usage(
            years=fleet.counter_years,
            count=fleet.counter_usage,
            bounds=fleet.counter_bounds,
        )
        by_series = by_machine.select(arguments["hierarchy"].machine_of_series)
    answer = forecasting.forecast(
        **arguments,
        hyper=learnt,
        horizon_years=np.ones(fleet.counts.size),
        usage=by_series,
        probabilities=PROBABILITIES,
    )
    assert not np.isnan(answer.quantiles_years).any(), "NaN in a forecast"
    # too little of a counter: nothing is said of the series, and that is the worst
    return np.where(answer.state == forecasting.FORECAST, answer.quantiles_years, 60.0)


def scored(quantiles: np.ndarray, truth: np.ndarray) -> dict[str, float]:
    """Return coverage (uncapped) and losses of remaining years capped to 0..25."""
    q = np.minimum(np.sort(quantiles, axis=0), 60.0)
    low, high = q[P10], q[P90]
    cut = np.clip(q, 0.0, LONGEST_SCORED)
    years = np.clip(truth, 0.0, LONGEST_SCORED)
    inner = (years > 0.5) & (years < LONGEST_SCORED)
    ratio = np.log(np.maximum(cut[P50][inner], 0.05) / years[inner])
    below = float(np.mean(truth < low - 1e-9))
    above = float(np.mean(truth > high + 1e-9))
    loss = pinball(
        quantiles=cut[[P10]], probabilities=np.array([0.1]), truth=years
    ).mean()
    score = crps(quantiles=cut, probabilities=np.array(PROBABILITIES), truth=years)
    return {
        "series": truth.size,
        "coverage80": 1.0 - below - above,
        "missed_below": below,
        "missed_above": above,
        "crps": float(score.mean()),
        "p10_loss": float(2 * loss),
        "median_log_bias": float(np.median(ratio)) if ratio.size else 0.0,
    }


def compared(fleet: Fleet, quantiles: np.ndarray, law: str) -> dict:
    """Return the scores of one fleet, with least squares on three points or more."""
    count = fleet.counts
    current = np.flatnonzero(fleet.current & (fleet.visits_of_series >= 1))
    result: dict = scored(quantiles[:, current], fleet.remaining_years[current])
    common = current[count[current] >= 3]
    arguments = arranged(fleet, clock=fleet.years)
    chosen = arguments["readings"].select(chosen=common)
    rival = competitors.least_squares_quantiles(
        years=chosen.clock,
        level=chosen.level_mm,
        bounds=chosen.bounds,
        limit=fleet.limit_mm[common],
        probabilities=np.array(PROBABILITIES),
    )
    truth = fleet.remaining_years[common]
    ours, theirs = scored(quantiles[:, common], truth), scored(rival, truth)
    result["crps_3"], result["least_squares_crps_3"] = ours["crps"], theirs["crps"]
    result["p10_loss_3"] = ours["p10_loss"]
    result["least_squares_p10_loss_3"] = theirs["p10_loss"]
    result["strata"] = _strata(fleet, quantiles, current, common, rival)
    if law == "mix":
        accelerating = current[_law(fleet)[current] == "accel"]
        truth = fleet.remaining_years[accelerating]
        result["strata"]["accelerating"] = scored(quantiles[:, accelerating], truth)
    return result


def _law(fleet: Fleet) -> np.ndarray:
    return fleet.law_of_machine[fleet.machine_of_epoch[fleet.epoch_of_series]]


def _strata(fleet, quantiles, current, common, rival) -> dict[str, dict[str, float]]:
    strata: dict[str, dict[str, float]] = {}
    visits = fleet.visits_of_series
    middle = quantiles[P50]
    for low, high in READING_STRATA:
        inside = (visits >= low) & (visits <= high)
        at = current[inside[current]]
        name = f"readings {low}-{high}" if high < 10_000 else f"readings {low}+"
        if at.size:
            strata[name] = scored(quantiles[:, at], fleet.remaining_years[at])
        both = inside[common]
        if both.any():
            truth = fleet.remaining_years[common[both]]
            strata[name]["p10_loss_3"] = scored(quantiles[:, common[both]], truth)[
                "p10_loss"
            ]
            strata[name]["least_squares_p10_loss_3"] = scored(rival[:, both], truth)[
                "p10_loss"
            ]
    for low, high in HORIZON_BANDS:
        at = current[(middle[current] >= low) & (middle[current] < high)]
        if at.size:
            name = f"P50 {low}..{high} years"
            strata[name] = scored(quantiles[:, at], fleet.remaining_years[at])
    return strata


def averaged(rows: list[dict]) -> dict:
    """Return the mean of each number over seeds (series: the sum)."""
    result: dict = {}
    for name in rows[0]:
        values = [row[name] for row in rows if name in row]
        if name == "strata":
            names = dict.fromkeys(key for value in values for key in value)
            result[name] = {
                key: averaged([value[key] for value in values if key in value])
                for key in names
            }
        elif name == "series":
            result[name] = int(sum(values))
        else:
            result[name] = round(float(np.mean(values)), 4)
    return result


def run(
    *, seeds: list[int], laws: list[str], groups: int = GROUPS, jobs: int = 1
) -> dict:
    """Return the whole report: ``laws`` and ``counts``, averaged over the seeds.

    jobs : processes that share the laws; the figures are the same with any number
    """
    report: dict = {"seeds": seeds, "groups": groups, "laws": {}}
    began = time.perf_counter()
    if jobs < 2:
        report["laws"] = {law: of_law(law, seeds, groups) for law in laws}
        report["counts"] = counts.run(seeds=seeds, groups=groups * 2 // 3)
    else:
        with ProcessPoolExecutor(max_workers=jobs) as pool:
            broken = pool.submit(counts.run, seeds=seeds, groups=groups * 2 // 3)
            found = [pool.submit(of_law, law, seeds, groups) for law in laws]
            for law, each in zip(laws, found, strict=True):
                report["laws"][law] = each.result()
            report["counts"] = broken.result()
    report["seconds"] = round(time.perf_counter() - began, 1)
    return report


def of_law(law: str, seeds: list[int], groups: int) -> dict:
    """Return the scores of one law, averaged over the seeds."""
    exact = json.loads(ORACLE.read_text()) if ORACLE.exists() else {}
    if groups == GROUPS:
        fleets.check(law)
    rows, began, busy = [], time.perf_counter(), time.process_time()
    for seed in seeds:
        fleet = fleets.make_fleet(seed=seed, groups=groups, law=law)
        quantiles = forecast(fleet, on_usage=law == "season")
        rows.append(compared(fleet, quantiles, law))
    mean = averaged(rows)
    cut = 1 - mean["crps_3"] / mean["least_squares_crps_3"]
    mean["crps_cut_vs_least_squares"] = round(cut, 4)
    mean["crps_to_exact"] = _to_exact(exact, seeds, law)
    mean["seconds"] = round(time.perf_counter() - began, 1)
    mean["cpu_seconds"] = round(time.process_time() - busy, 1)
    return mean


def _to_exact(exact: dict, seeds: list[int], law: str) -> float | None:
    """Return CRPS over that of the exact posterior, on the stored seeds among these.

    The stored run used fleets of its own size, so ours is forecast again there.
    """
    stored = exact.get("crps", {}) if law == "linear" else {}
    ratios = []
    for seed in seeds:
        if str(seed) in stored:
            fleet = fleets.make_fleet(seed=seed, groups=exact["groups"], law=law)
            quantiles = forecast(fleet, on_usage=False)
            current = np.flatnonzero(fleet.current & (fleet.visits_of_series >= 1))
            ours = scored(quantiles[:, current], fleet.remaining_years[current])
            ratios.append(ours["crps"] / stored[str(seed)])
    return round(float(np.mean(ratios)), 4) if ratios else None


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--seeds", type=int, nargs="+", default=[301])
    parser.add_argument("--laws", nargs="+", default=list(fleets.LAWS))
    parser.add_argument("--groups", type=int, default=GROUPS)
    parser.add_argument("--planned", action="store_true", help="planning dates only")
    parser.add_argument("--quick", action="store_true", help="the same, small fleets")
    parser.add_argument("--jobs", type=int, default=2, help="processes that share it")
    chosen = parser.parse_args()
    if chosen.planned or chosen.quick:
        # it asks this module for its fleets
        from tests.benchmarks import planned_dates

        found = planned_dates.run(
            seed=chosen.seeds[0],
            laws=chosen.laws,
            quick=chosen.quick,
            jobs=chosen.jobs,
        )
        sys.stdout.write(json.dumps(found, indent=1) + "\n")
        return
    report = run(
        seeds=chosen.seeds, laws=chosen.laws, groups=chosen.groups, jobs=chosen.jobs
    )
    if chosen.json:
        sys.stdout.write(json.dumps(report, indent=1) + "\n")
        return
    for law, row in report["laws"].items():
        sys.stdout.write(
            f"{law:8s} coverage {row['coverage80']:.3f} below {row['missed_below']:.3f}"
            f" above {row['missed_above']:.3f} bias {row['median_log_bias']:+.3f}"
            f" crps cut {row['crps_cut_vs_least_squares']:.3f}"
            f" to exact {row['crps_to_exact']}\n"
        )
    for law, row in report["counts"].items():
        sys.stdout.write(
            f"counts {law:20s} coverage {row['coverage80']:.3f}"
            f" crps {row['crps']:.3f}\n"
        )


if __name__ == "__main__":
    main()
