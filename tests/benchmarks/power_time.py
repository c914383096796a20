"""Is a power of time worth its place? ``python -m tests.benchmarks.power_time``

Every machine of a class wears as t^p from a known installation. The model, which knows
a bend by depth and bedding-in only, is held against the same model on a clock that goes
as t^p, the power given to it: more than any fleet could teach. One fleet teaches,
another is judged. The figures are shares and need no quiet machine.
"""

import argparse
import dataclasses
import json
import sys
import time

import numpy as np

from inspections.projection import forecasting, guarding, planning
from inspections.projection.learning.learn import learn
from tests.benchmarks import calibration, last_visits
from tests.benchmarks.scores import crps

POWERS = (1.8, 1.4, 0.7, 0.5)
TEACHING, JUDGED = 150, 400
QUICK_TEACHING, QUICK_JUDGED = 40, 40
AT_EASE_YEARS = 6.0
"""A life's middle, where the clock of a power runs as fast as a year does."""
P02 = 0.02


def warped(years: np.ndarray, power: float) -> np.ndarray:
    """Return the clock t^p in years of the middle of a life."""
    found: np.ndarray = (
        AT_EASE_YEARS * (np.maximum(years, 0.0) / AT_EASE_YEARS) ** power
    )
    return found


def on_clock(arguments: dict, power: float) -> dict:
    """Return a fleet's arguments on a clock of a power."""
    readings = arguments["readings"]
    clock = warped(readings.clock, power)
    return {**arguments, "readings": dataclasses.replace(readings, clock=clock)}


def judge(*, seed: int, power: float, clock: float, teaching: int, judged: int) -> dict:
    """Return how one class is forecast by a clock of a power, 1 for the model."""
    kind = f"t^{power:g}"
    teach, fleet = (
        last_visits.made(
            np.random.default_rng([seed, number]), [kind] * size, to_last_visit=False
        )
        for number, size in ((1, teaching), (2, judged))
    )
    learnt = learn(**on_clock(teach.arguments, clock), hyper=last_visits.assumed())
    given = on_clock(fleet.arguments, clock)
    readings = fleet.arguments["readings"]
    last = readings.clock[readings.bounds[1:] - 1]

    def years(ahead: np.ndarray) -> np.ndarray:
        found: np.ndarray = warped(warped(last, clock) + ahead, 1.0 / clock) - last
        return found

    case = planning.Planned(**given, probabilities=(P02,))
    curve = planning.plan(case, hyper=learnt)
    plan = guarding.guard(case, planned=curve, hyper=learnt).years
    quantiles = years(
        forecasting.forecast(
            **given,
            hyper=learnt,
            horizon_years=np.ones(last.size),
            probabilities=calibration.PROBABILITIES,
        ).quantiles_years
    )
    truth = fleet.remaining_years
    of_machine = last_visits.earliest(truth)
    by_curve, planned = (last_visits.earliest(years(each)[0]) for each in (curve, plan))
    cut = np.clip(quantiles, 0.0, calibration.LONGEST_SCORED)
    score = crps(
        quantiles=cut,
        probabilities=np.array(calibration.PROBABILITIES),
        truth=np.clip(truth, 0.0, calibration.LONGEST_SCORED),
    )
    low, high = quantiles[calibration.P10], quantiles[calibration.P90]
    return {
        "late_by_curve": 100 * float(np.mean(of_machine < by_curve)),
        "late": 100 * float(np.mean(of_machine < planned)),
        "plan_over_truth": float(np.median(planned / of_machine)),
        "missed_below": float(np.mean(truth < low)),
        "missed_above": float(np.mean(truth > high)),
        "crps": float(score.mean()),
    }


def run(*, seeds: list[int], powers: list[float], quick: bool) -> dict:
    """Return the figures of each power, the mean over seeds, unsafe side first."""
    began = time.process_time()
    sizes = {"teaching": TEACHING, "judged": JUDGED}
    if quick:
        sizes = {"teaching": QUICK_TEACHING, "judged": QUICK_JUDGED}
    report: dict = {"seeds": seeds, **sizes}
    for power in powers:
        for name, clock in (("model", 1.0), ("power known", power)):
            rows = [
                judge(seed=seed, power=power, clock=clock, **sizes) for seed in seeds
            ]
            report[f"t^{power:g}, {name}"] = {
                key: round(float(np.mean([row[key] for row in rows])), 3)
                for key in rows[0]
            }
    report["cpu_seconds"] = round(time.process_time() - began, 1)
    return report


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="+", default=[78])
    parser.add_argument("--powers", type=float, nargs="+", default=list(POWERS))
    parser.add_argument("--quick", action="store_true", help="small fleets: no figure")
    chosen = parser.parse_args()
    found = run(seeds=chosen.seeds, powers=chosen.powers, quick=chosen.quick)
    sys.stdout.write(json.dumps(found, indent=1) + "\n")


if __name__ == "__main__":
    main()
