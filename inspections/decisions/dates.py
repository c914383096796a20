"""Days and years."""

from datetime import date, timedelta

DAYS_PER_YEAR = 365.25
_LAST = date(9999, 1, 1)


def years_on(day: date, years: float) -> date:
    """Return the day that lies some years after another, to the nearest day."""
    ahead = round(years * DAYS_PER_YEAR)
    if ahead > (_LAST - day).days:
        return _LAST
    return day + timedelta(days=ahead)


def years_between(earlier: date, later: date) -> float:
    """Return the years from one day to another; negative if it lies before."""
    return (later - earlier).days / DAYS_PER_YEAR
