"""Bars of days on one axis of ten years, in whole units of a small picture."""

from dataclasses import dataclass
from datetime import date, timedelta

from inspections.models import Forecast

# The axis as in a portfolio review: ten years, the first three months shown as now.
_BEFORE, _AHEAD = timedelta(days=90), timedelta(days=3650)
WIDTH = 240
# One every second year, so that an eye can count them.
_EVERY_YEARS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """From early to late, and the day to plan before; `open_end` has no late day."""

    left: int
    width: int
    plan: int
    today: int
    years: tuple[int, ...]
    open_end: bool


def of_forecast(forecast: Forecast | None, *, today: date) -> Bar | None:
    """Return the bar of a limit; None where no date may be shown."""
    if forecast is None or forecast.p10_on is None:
        return None
    left = _x(forecast.p10_on, today)
    right = WIDTH if forecast.p90_on is None else _x(forecast.p90_on, today)
    return Bar(
        left=left,
        width=max(right - left, 2),
        plan=_x(forecast.plan_before_on or forecast.p10_on, today),
        today=_x(today, today),
        years=tuple(
            _x(date(year, 1, 1), today)
            for year in range(today.year + 1, (today + _AHEAD).year + 1, _EVERY_YEARS)
        ),
        open_end=forecast.p90_on is None or forecast.p90_on > today + _AHEAD,
    )


def _x(day: date, today: date) -> int:
    share = (day - (today - _BEFORE)) / (_BEFORE + _AHEAD)
    return round(WIDTH * min(max(share, 0.0), 1.0))
