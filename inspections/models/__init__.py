"""What was read, what it means, when it will matter."""

from inspections.models.finding import Assessment, Finding, Grade, WearLimit
from inspections.models.forecast import Forecast, ForecastState, Verdict
from inspections.models.learnt import (
    ForecastRun,
    ForecastScore,
    Hyperparameters,
    PlanningRule,
    RunCause,
    RunState,
    SharedPrior,
)
from inspections.models.photo import VisitPhoto
from inspections.models.reading import Reading, ReadingReview, ReadingState
from inspections.models.track import TrackPoint, WearTrack
from inspections.models.visit import Gauge, Upload, Visit, VisitKind

__all__ = [
    "Assessment",
    "Finding",
    "Forecast",
    "ForecastRun",
    "ForecastScore",
    "ForecastState",
    "Gauge",
    "Grade",
    "Hyperparameters",
    "PlanningRule",
    "Reading",
    "ReadingReview",
    "ReadingState",
    "RunCause",
    "RunState",
    "SharedPrior",
    "TrackPoint",
    "Upload",
    "Verdict",
    "Visit",
    "VisitKind",
    "VisitPhoto",
    "WearLimit",
    "WearTrack",
]
