"""When each limit will be reached: readings as series, the model, dates stored."""

from inspections.forecasts import learning, scoring
from inspections.forecasts.curves import Curve, curve
from inspections.forecasts.projecting import (
    hold_fleet,
    order_run,
    prepare_fleet,
    project,
    run_fleet,
)

__all__ = [
    "Curve",
    "curve",
    "hold_fleet",
    "learning",
    "order_run",
    "prepare_fleet",
    "project",
    "run_fleet",
    "scoring",
]
