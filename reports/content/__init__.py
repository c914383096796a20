"""What a document says: frozen records, nothing about how it looks."""

from reports.content import axes
from reports.content.charts import (
    AxisTick,
    ChartAxis,
    CurveReading,
    Dimension,
    ForecastPoint,
    GrooveSection,
    LimitLine,
    MetalUnderGroove,
    Outline,
    Point,
    PortfolioStrip,
    RimSection,
    ScaleBar,
    StripRow,
    TensionBar,
    TensionBars,
    WearCurve,
)
from reports.content.coding import ContentUnreadable
from reports.content.condition import (
    AnsweredQuestion,
    AppliedLimit,
    AppliedSet,
    ConditionReport,
    Decision,
    LiftLine,
    MachinePages,
    NotAssessed,
    PrintedFinding,
    PrintedOption,
    Summary,
)
from reports.content.fieldsheet import FieldSheet, SheetBox, SheetStep
from reports.content.grade import MOST_URGENT_FIRST, PrintedGrade
from reports.content.pieces import (
    Align,
    Caution,
    Column,
    Masthead,
    PaperSize,
    Party,
    Photo,
    Row,
    Table,
)
from reports.content.portfolio import PortfolioReview
from reports.content.regroove import RegrooveSheet
from reports.content.ropes import RopeOrder
from reports.content.serial import (
    Content,
    checksum,
    from_json,
    from_plain,
    kind_of,
    to_json,
    to_plain,
)
from reports.content.service import Acceptance, ReturnToService
from reports.content.stops import OutOfService, StandingStop
from reports.content.template import Template
from reports.content.traction import TractionSheet, WorkedPart
from reports.content.tried import TriedChange
from reports.content.wording import Wording

__all__ = [
    "MOST_URGENT_FIRST",
    "Acceptance",
    "Align",
    "AnsweredQuestion",
    "AppliedLimit",
    "AppliedSet",
    "AxisTick",
    "Caution",
    "ChartAxis",
    "Column",
    "ConditionReport",
    "Content",
    "ContentUnreadable",
    "CurveReading",
    "Decision",
    "Dimension",
    "FieldSheet",
    "ForecastPoint",
    "GrooveSection",
    "LiftLine",
    "LimitLine",
    "MachinePages",
    "Masthead",
    "MetalUnderGroove",
    "NotAssessed",
    "OutOfService",
    "Outline",
    "PaperSize",
    "Party",
    "Photo",
    "Point",
    "PortfolioReview",
    "PortfolioStrip",
    "PrintedFinding",
    "PrintedGrade",
    "PrintedOption",
    "RegrooveSheet",
    "ReturnToService",
    "RimSection",
    "RopeOrder",
    "Row",
    "ScaleBar",
    "SheetBox",
    "SheetStep",
    "StandingStop",
    "StripRow",
    "Summary",
    "Table",
    "Template",
    "TensionBar",
    "TensionBars",
    "TractionSheet",
    "TriedChange",
    "WearCurve",
    "Wording",
    "WorkedPart",
    "axes",
    "checksum",
    "from_json",
    "from_plain",
    "kind_of",
    "to_json",
    "to_plain",
]
