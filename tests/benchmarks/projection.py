"""How fast is a forecast of a million series? ``python -m tests.benchmarks.projection``

One thread: nothing here calls a threaded library. The yardstick is four
``np.add.reduceat`` over float64 u, x, u*u and u*x, products included: the least that
any fit of straight lines has to do.
"""

import argparse
import gc
import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
from scipy import stats

from inspections.projection import forecasting, hyper
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.learning.learn import learn
from inspections.projection.limits import Limits
from inspections.projection.series import Readings
from tests.benchmarks import running

SERIES = 1_000_000
REPEATS = 5
LINREGRESS_SERIES = 2_000
DATABASE_SERIES = 20_000
PROBABILITIES = (0.10, 0.50, 0.90)


def make(*, count: int, seed: int = 7) -> dict:
    """Return ``count`` ragged series with 8.5 readings on the mean, 1 to 100."""
    rng = np.random.default_rng(seed)
    machines = max(1, count // 8)
    class_of_machine = rng.integers(0, 4, machines)
    epochs = np.repeat(np.arange(machines), rng.integers(1, 3, machines))
    per_epoch = rng.integers(3, 9, epochs.size)
    epoch = np.repeat(np.arange(epochs.size), per_epoch)[:count]
    kept = int(epoch[-1]) + 1
    tree = Hierarchy(
        epoch_of_series=epoch,
        machine_of_epoch=epochs[:kept],
        class_of_machine=class_of_machine,
    )
    of = tree.class_of_series
    visits = np.clip(rng.geometric(1 / 8.5, kept), 1, 100)
    counts = visits[epoch]
    bounds = np.concatenate([[0], np.cumsum(counts)])
    size = int(bounds[-1])
    position = np.arange(size) - np.repeat(bounds[:-1], counts)
    spacing = rng.uniform(0.1, 0.8, kept)
    clock = (position + 1) * np.repeat(spacing[epoch], counts)
    rate = np.exp(
        np.log([0.25, 0.12, 0.07, 0.10])[of] + 0.5 * rng.standard_normal(count)
    )
    noise = np.array([0.1, 0.08, 0.05, 0.1])[of]
    limit = np.array([3.0, 1.2, 0.8, 2.0])[of]
    now = limit * rng.uniform(0.1, 0.9, count)
    last = np.repeat(clock[bounds[1:] - 1], counts)
    level = np.repeat(now, counts) - np.repeat(rate, counts) * (last - clock)
    level += np.repeat(noise, counts) * rng.standard_normal(size)
    gross = rng.random(size) < 0.005
    level[gross] += 1.0
    return {
        "readings": Readings(
            clock=clock,
            level_mm=level,
            noise_mm=np.repeat(noise, counts),
            installation=np.zeros(size, dtype=bool),
            visit=np.repeat(epoch * 128, counts) + position,
            bounds=bounds,
        ),
        "hierarchy": tree,
        "limits": Limits(limit_mm=limit, limit_sd_mm=np.zeros(count)),
        "known_installation": np.zeros(count, dtype=bool),
    }


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    times = []
    for _ in range(repeats):
        gc.collect()
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def segment_sums(readings: Readings) -> Callable[[], object]:
    u, x, starts = readings.clock, readings.level_mm, readings.bounds[:-1]

    def work() -> tuple:
        return tuple(np.add.reduceat(v, starts) for v in (u, x, u * u, u * x))

    return work


def linregress_seconds_per_series(fleet: dict) -> float:
    """Return the time of one ``scipy.stats.linregress`` and its P50."""
    readings, limit = fleet["readings"], fleet["limits"].limit_mm
    long = np.flatnonzero(readings.counts >= 3)[:LINREGRESS_SERIES]

    def work() -> list:
        answers = []
        for s in long:
            run = slice(readings.bounds[s], readings.bounds[s + 1])
            line = stats.linregress(readings.clock[run], readings.level_mm[run])
            answers.append((limit[s] - line.intercept) / max(line.slope, 1e-9))
        return answers

    return best(work, 3) / long.size


def forecast(fleet: dict, learnt: hyper.ClassHyperparameters) -> Callable[[], object]:
    horizon = np.ones(fleet["readings"].series_count)

    def work() -> object:
        return forecasting.forecast(
            **fleet,
            hyper=learnt,
            horizon_years=horizon,
            probabilities=PROBABILITIES,
        )

    return work


def run(*, count: int = SERIES, repeats: int = REPEATS) -> dict:
    """Return the report: ratios to the yardsticks, growth and memory."""
    rates = np.array([0.25, 0.12, 0.07, 0.10])
    small, large = make(count=count // 10), make(count=count)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    began = time.perf_counter()
    learnt = learn(**large, hyper=hyper.starting(rate_per_clock=rates))
    learning = time.perf_counter() - began
    sums = best(segment_sums(large["readings"]), repeats)
    seconds = best(forecast(large, learnt), repeats)
    tenth = best(forecast(small, learnt), repeats)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    per_line = linregress_seconds_per_series(large)
    return {
        "series": count,
        "readings": int(large["readings"].clock.size),
        "segment_sums_seconds": round(sums, 4),
        "forecast_seconds": round(seconds, 4),
        "ratio_to_segment_sums": round(seconds / sums, 2),
        "ratio_to_linregress": round(per_line * count / seconds, 1),
        "growth": round((seconds / count) / (tenth / (count // 10)), 3),
        "learning_seconds": round(learning, 2),
        "peak_memory_mb": round(peak),
        "memory_before_mb": round(before),
    }


def database(*, count: int = DATABASE_SERIES) -> dict:
    """Return how long a fleet's run takes from database to database, in a process of
    its own: that one needs a server and Django, this one must not."""
    command = [sys.executable, "-m", "tests.benchmarks.forecast_database", "--json"]
    ended = subprocess.run(
        [*command, "--series", str(count)], capture_output=True, text=True, check=True
    )
    found = json.loads(ended.stdout)
    return {
        "database_ratio": found["database_ratio"],
        "database": {k: v for k, v in found.items() if k != "database_ratio"},
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--series", type=int, default=SERIES)
    parser.add_argument("--repeats", type=int, default=REPEATS)
    parser.add_argument(
        "--database-series",
        type=int,
        default=DATABASE_SERIES,
        help="series of the run from database to database; 0 leaves it out",
    )
    chosen = running.arguments(parser, series=50_000, repeats=2, database_series=0)
    report = run(count=chosen.series, repeats=chosen.repeats)
    if chosen.database_series:
        report |= database(count=chosen.database_series)
    if chosen.json:
        sys.stdout.write(json.dumps(report, indent=1) + "\n")
        return
    for name, value in report.items():
        sys.stdout.write(f"{name:24s} {value}\n")


if __name__ == "__main__":
    main()
