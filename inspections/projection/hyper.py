"""What is known about each class of wear before looking at one series.

One number per class and quantity. They are learnt weekly from a fleet (see
``learning``) and stored as a versioned record beside the forecasts made with them.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from inspections.projection.arrays import Floats

RECORD_VERSION = 1
BEDDING_YEARS = 0.4
"""Time constant of the bedding-in of new ropes and fresh grooves [years]."""
CURVATURE_STEPS = np.log([0.5, 1.0, 2.0, 4.0])
"""How one machine's rate at the limit, over that at zero wear, may differ from its
class: half, as the class, twice, four times; logarithms [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassHyperparameters:
    """Arrays over classes (C,); rates in mm per unit of the clock.

    log_rate : mean of the logarithm of the wear rate [log(mm/clock)]
    machine_sd, installation_sd, series_sd : spread of the log rate between machines,
        between installations on one machine, between series of one installation [-]
    noise_scale : reading noise over what the gauges promise [-]
    visit_share : part of the noise variance that all readings of a visit share [-]
    drift : standard deviation the log rate wanders in one clock unit [-]
    burst : standard deviation of one clock unit's wear over its mean (wear that
        comes in bursts) [-]
    curvature : log of the wear rate at the limit over that at zero wear [-]
    curvature_sd : standard error of ``curvature`` [-]
    curvature_weights : (C, K) share of machines at each of ``CURVATURE_STEPS``
    bedding_mm, bedding_sd_mm : wear lost to bedding-in, and its spread [mm]
    readings, machines : how much the class was learnt from
    """

    log_rate: Floats
    machine_sd: Floats
    installation_sd: Floats
    series_sd: Floats
    noise_scale: Floats
    visit_share: Floats
    drift: Floats
    burst: Floats
    curvature: Floats
    curvature_sd: Floats
    curvature_weights: Floats
    bedding_mm: Floats
    bedding_sd_mm: Floats
    readings: Floats
    machines: Floats

    @property
    def classes(self) -> int:
        return self.log_rate.size

    @property
    def log_rate_variance(self) -> Floats:
        """Variance of one series' log rate before any reading (C,)."""
        return self.machine_sd**2 + self.installation_sd**2 + self.series_sd**2


def starting(*, rate_per_clock: Floats) -> ClassHyperparameters:
    """Return vague beginnings around a guessed median rate per class [mm/clock].

    Wide spreads, a straight profile, no bedding-in, gauges as good as they promise:
    what a class without a fleet behind it is forecast with.
    """
    classes = np.asarray(rate_per_clock, dtype=np.float64)
    count = classes.size
    if not bool(np.all(classes > 0)):
        raise ValueError(f"rate_per_clock is {classes.min()}; it must be positive")
    weights = np.zeros((count, CURVATURE_STEPS.size))
    weights[:, CURVATURE_STEPS == 0.0] = 1.0
    return ClassHyperparameters(
        log_rate=np.log(classes),
        machine_sd=np.full(count, 0.7),
        installation_sd=np.full(count, 0.15),
        series_sd=np.full(count, 0.3),
        noise_scale=np.ones(count),
        visit_share=np.full(count, 0.2),
        drift=np.full(count, 0.08),
        burst=np.full(count, 0.1),
        curvature=np.zeros(count),
        curvature_sd=np.full(count, 0.3),
        curvature_weights=weights,
        bedding_mm=np.zeros(count),
        bedding_sd_mm=np.zeros(count),
        readings=np.zeros(count),
        machines=np.zeros(count),
    )


def single(hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Return the hyper-parameters in single precision; forecasts are made in it."""
    return ClassHyperparameters(
        **{
            field.name: getattr(hyper, field.name).astype(np.float32)
            for field in fields(hyper)
        }
    )


def to_record(hyper: ClassHyperparameters) -> dict[str, Any]:
    """Return plain lists and numbers, fit for JSON, with the version of the form."""
    record: dict[str, Any] = {"version": RECORD_VERSION}
    for field in fields(hyper):
        record[field.name] = getattr(hyper, field.name).tolist()
    return record


def from_record(record: dict[str, Any]) -> ClassHyperparameters:
    """Return the hyper-parameters of a stored record.

    Raises ValueError for a version this code does not know or a missing number.
    """
    if record.get("version") != RECORD_VERSION:
        raise ValueError(
            f"version is {record.get('version')}; it must be {RECORD_VERSION}"
        )
    columns: dict[str, Floats] = {}
    for field in fields(ClassHyperparameters):
        if field.name not in record:
            raise ValueError(f"{field.name} is missing from the record")
        columns[field.name] = np.asarray(record[field.name], dtype=np.float64)
        if not bool(np.all(np.isfinite(columns[field.name]))):
            raise ValueError(f"{field.name} is not finite everywhere")
    return ClassHyperparameters(**columns)
