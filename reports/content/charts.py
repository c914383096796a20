"""What the figures show: outlines in mm, curves as points, labels with units.

Positions on a time axis are days counted from any day the composer likes; the
ticks carry the words, so that drawing formats neither dates nor numbers.
"""

from dataclasses import dataclass

from reports.content.grade import PrintedGrade

Point = tuple[float, float]
Outline = tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisTick:
    """A place on an axis and the words that stand there."""

    position: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartAxis:
    """An axis: its label with unit, its range and its ticks."""

    label: str
    low: float
    high: float
    ticks: tuple[AxisTick, ...]

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise ValueError(
                f"axis {self.label!r} runs from {self.low:g} to {self.high:g}; "
                "its low end must lie below its high end"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleBar:
    """A length in mm that is drawn beside a section, and its label."""

    length_mm: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A measured distance in a section, between two points in mm."""

    start: Point
    end: Point
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveSection:
    """One groove across the rim: as new, as worn, with the rope in it.

    Outlines run from left to right, x across and y up, in mm; y = 0 is the rim.
    The worn outline is None where wear could not be worked out.
    """

    title: str
    new_outline: Outline
    worn_outline: Outline | None
    metal_floor_mm: float
    rope_centre: Point | None
    rope_diameter_mm: float | None
    rope_label: str
    contact_arcs: tuple[Outline, ...]
    dimensions: tuple[Dimension, ...]
    scale_bar: ScaleBar
    caption: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveReading:
    """One reading of a wear curve with its standard uncertainty in y."""

    x: float
    y: float
    uncertainty: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitLine:
    """A limit, and how far down and up the limit itself is uncertain."""

    value: float
    low: float
    high: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastPoint:
    """The forecast at one moment: 10 %, 50 % and 90 % of the courses lie below."""

    x: float
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WearCurve:
    """Readings over time, the limit and the forecast.

    ``crossing`` marks on the time axis when the limit may be reached (early, middle,
    late); ``events`` are work done; ``outlook`` says it in words.
    """

    title: str
    time_axis: ChartAxis
    value_axis: ChartAxis
    readings: tuple[CurveReading, ...]
    limit: LimitLine | None
    forecast: tuple[ForecastPoint, ...]
    today: AxisTick | None
    crossing: tuple[AxisTick, ...]
    events: tuple[AxisTick, ...]
    outlook: str
    caption: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalUnderGroove:
    """The metal that stands under one groove, from top to underside, in mm."""

    label: str
    top: Point
    bottom: Point
    value: str
    after_cut: str
    is_thinnest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RimSection:
    """The rim cut across all grooves: closed outline of the metal, in mm.

    ``least_line`` is how deep the maker's least metal reaches; empty where not known.
    """

    title: str
    metal: Outline
    thickest_underside: Outline
    after_cut: Outline
    thicknesses: tuple[MetalUnderGroove, ...]
    limit_label: str
    scale_bar: ScaleBar
    caption: str
    description: str
    least_line: Outline = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionBar:
    """The tension of one rope."""

    label: str
    value: float
    value_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionBars:
    """The tensions of a rope set beside their mean and the band allowed."""

    title: str
    axis: ChartAxis
    bars: tuple[TensionBar, ...]
    mean: AxisTick
    allowed_low: AxisTick | None
    allowed_high: AxisTick | None
    caption: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StripRow:
    """One machine of a portfolio: its grade and when its first limit may come.

    low, median and high are None where there is no forecast; then ``note`` says
    why; else it names the limit that the three are about. ``beyond`` names what lies
    beyond its limit today.
    """

    label: str
    grade: PrintedGrade
    low: float | None
    median: float | None
    high: float | None
    note: str
    beyond: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PortfolioStrip:
    """All machines on one time axis."""

    title: str
    time_axis: ChartAxis
    today: AxisTick
    rows: tuple[StripRow, ...]
    caption: str
    description: str
