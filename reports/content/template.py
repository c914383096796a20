"""A form at true size, to be held against the metal."""

from dataclasses import dataclass

from reports.content.charts import Dimension, Outline, ScaleBar


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """The grooves as they are to be turned, at true size on the paper.

    ``outline`` is one groove across the rim, x across and y up, in mm, over half a
    pitch to either side; it is drawn ``count`` times, ``pitch_mm`` apart. ``ruler`` is
    the length that a rule must find on the paper, drawn across and upright.
    """

    title: str
    outline: Outline
    pitch_mm: float
    count: int
    floor_mm: float
    dimensions: tuple[Dimension, ...]
    ruler: ScaleBar
    ruler_upright: ScaleBar
    caption: str
    description: str

    def __post_init__(self) -> None:
        if self.count < 1 or self.pitch_mm <= 0.0:
            raise ValueError(
                f"{self.count} grooves {self.pitch_mm:g} mm apart; there must be one "
                "at least, and a distance above 0"
            )
