"""What was read, what it means, when it will matter."""

from inspections.models.finding import Assessment, Finding, Grade, WearLimit
from inspections.models.forecast import Forecast, ForecastState
from inspections.models.reading import Reading, ReadingReview, ReadingState
from inspections.models.visit import Gauge, Upload, Visit, VisitKind

__all__ = [
    "Assessment",
    "Finding",
    "Forecast",
    "ForecastState",
    "Gauge",
    "Grade",
    "Reading",
    "ReadingReview",
    "ReadingState",
    "Upload",
    "Visit",
    "VisitKind",
    "WearLimit",
]
