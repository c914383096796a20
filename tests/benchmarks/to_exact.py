"""What is the CRPS over that of the exact posterior made of?

``python -m tests.benchmarks.to_exact --json``: even wear, the seeds whose exact
posterior is stored (``exact_posterior``), which was given the true values of each
class. With everything learnt, with the true values, and with the true ones but for one
learnt. No figure needs a quiet machine.
"""

import argparse
import dataclasses
import json
import sys

import numpy as np

from inspections.projection import forecasting, hyper
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning.learn import learn
from tests.benchmarks import calibration, fleets
from tests.benchmarks.calibration import ORACLE, PROBABILITIES
from tests.benchmarks.fleets import CLASSES, Fleet

SEEDS = (301, 302, 303)
ONE_LEARNT = (
    "log_rate",
    "machine_sd",
    "installation_sd",
    "series_sd",
    "noise_scale",
    "visit_share",
    "drift",
    "burst",
    "curvature",
    "curvature_sd",
    "bedding_mm",
    "bedding_sd_mm",
)
GAUGES = 1.5
"""Gauges are given so many times as bad as they are (``calibration.arranged``)."""


def true_values() -> ClassHyperparameters:
    """Return the values that made the fleets of even wear."""
    count = len(CLASSES)

    def of(name: str) -> np.ndarray:
        return np.array([getattr(each, name) for each in CLASSES])

    rounding = of("step_mm") ** 2 / 12
    shared = fleets.VISIT_SHARE * of("noise_mm") ** 2
    nothing = np.zeros(count)
    beginning = hyper.starting(rate_per_clock=of("median_mm_per_year"))
    return dataclasses.replace(
        beginning,
        machine_sd=of("machine_sd"),
        installation_sd=of("installation_sd"),
        series_sd=of("series_sd"),
        noise_scale=np.full(count, 1 / GAUGES),
        visit_share=shared / (of("noise_mm") ** 2 + rounding),
        drift=nothing,
        burst=nothing,
        curvature_sd=nothing,
    )


def of_seed(seed: int) -> dict[str, float]:
    """Return the ratios of one seed: learnt, true, and true but for one."""
    exact = json.loads(ORACLE.read_text())
    fleet = fleets.make_fleet(seed=seed, groups=exact["groups"], law="linear")
    arguments = calibration.arranged(fleet, clock=fleet.years)
    learnt = learn(**arguments, hyper=calibration.beginnings())
    true = true_values()
    values = {"learnt": learnt, "true": true} | {
        f"true but {name}": dataclasses.replace(true, **{name: getattr(learnt, name)})
        for name in ONE_LEARNT
    }
    best = exact["crps"][str(seed)]
    return {name: _crps(fleet, arguments, of) / best for name, of in values.items()}


def _crps(fleet: Fleet, arguments: dict, values: ClassHyperparameters) -> float:
    found = forecasting.forecast(
        **arguments,
        hyper=values,
        horizon_years=np.ones(fleet.counts.size),
        probabilities=PROBABILITIES,
    )
    current = np.flatnonzero(fleet.current & (fleet.visits_of_series >= 1))
    quantiles = found.quantiles_years[:, current]
    score = calibration.scored(quantiles, fleet.remaining_years[current])
    return float(score["crps"])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--seeds", type=int, nargs="+", default=list(SEEDS))
    chosen = parser.parse_args()
    report = calibration.averaged([of_seed(seed) for seed in chosen.seeds])
    if chosen.json:
        sys.stdout.write(json.dumps(report, indent=1) + "\n")
        return
    for name, value in report.items():
        sys.stdout.write(f"{name:26s} {value}\n")


if __name__ == "__main__":
    main()
