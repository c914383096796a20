"""What was read, what it means, when it will matter."""

from inspections.models.calendar_feed import CalendarFeed
from inspections.models.finding import GRADES, Assessment, Cause, Finding, WearLimit
from inspections.models.forecast import Forecast, ForecastState, IntervalVerdict
from inspections.models.hand_over import (
    HandedRow,
    HandOver,
    HandOverDirection,
    HandOverState,
)
from inspections.models.learnt import (
    ForecastRun,
    ForecastScore,
    Hyperparameters,
    PlanningRule,
    RunCause,
    RunState,
    SharedPrior,
)
from inspections.models.machine_state import MachineState, StateMark
from inspections.models.option_set import DueState, DueWork, OptionSet
from inspections.models.owner_answer import OwnerAnswer, Said
from inspections.models.photo import VisitPhoto
from inspections.models.planned_work import (
    OPEN_STATES,
    PlannedStep,
    PlannedWork,
    PlanState,
)
from inspections.models.reading import Reading, ReadingReview, ReadingState
from inspections.models.scenario import Scenario
from inspections.models.stop import (
    BulkRelease,
    Release,
    Stop,
    StopBasis,
    StopCause,
    StopEvent,
    StopEventKind,
    StopPlace,
    WithdrawnKind,
)
from inspections.models.terms import Terms, TermsSubject
from inspections.models.track import TrackPoint, WearTrack
from inspections.models.urgent import UrgentMail
from inspections.models.visit import Gauge, Upload, Visit, VisitKind
from inspections.models.visit_move import VisitMove
from inspections.reasons import Grade

__all__ = [
    "GRADES",
    "OPEN_STATES",
    "Assessment",
    "BulkRelease",
    "CalendarFeed",
    "Cause",
    "DueState",
    "DueWork",
    "Finding",
    "Forecast",
    "ForecastRun",
    "ForecastScore",
    "ForecastState",
    "Gauge",
    "Grade",
    "HandOver",
    "HandOverDirection",
    "HandOverState",
    "HandedRow",
    "Hyperparameters",
    "IntervalVerdict",
    "MachineState",
    "OptionSet",
    "OwnerAnswer",
    "PlanState",
    "PlannedStep",
    "PlannedWork",
    "PlanningRule",
    "Reading",
    "ReadingReview",
    "ReadingState",
    "Release",
    "RunCause",
    "RunState",
    "Said",
    "Scenario",
    "SharedPrior",
    "StateMark",
    "Stop",
    "StopBasis",
    "StopCause",
    "StopEvent",
    "StopEventKind",
    "StopPlace",
    "Terms",
    "TermsSubject",
    "TrackPoint",
    "Upload",
    "UrgentMail",
    "Visit",
    "VisitKind",
    "VisitMove",
    "VisitPhoto",
    "WearLimit",
    "WearTrack",
    "WithdrawnKind",
]
