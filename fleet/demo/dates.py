"""Move the fixtures' dates by whole days, so that the story ends today."""

import re
from datetime import date, datetime, timedelta
from typing import Any

_DATE_KEY = re.compile(r".*_on|valid_from")
_INSTANT_KEY = re.compile(r".*_at")
# A map of sources holds words under the same names: {"fitted_on": "PLATE"}.
_BEGINS_AS_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


def days_between(*, reference_date: str, today: date) -> int:
    """Return by how many days to move what was written for the reference date."""
    return (today - date.fromisoformat(reference_date)).days


def shifted(entry: Any, /, *, days: int) -> Any:
    """Return a copy of nested lists and mappings with every date moved.

    Dates are recognised by their keys and by their shape: `..._on` and `valid_from`
    are days, `..._at` instants, which keep their offset and so their time of day.
    """
    if isinstance(entry, dict):
        return {key: _value(key, value, days) for key, value in entry.items()}
    if isinstance(entry, list):
        return [shifted(part, days=days) for part in entry]
    return entry


def _value(key: str, value: Any, days: int) -> Any:
    if not isinstance(value, str) or not _BEGINS_AS_DATE.match(value):
        return shifted(value, days=days)
    if _DATE_KEY.fullmatch(key):
        return (date.fromisoformat(value) + timedelta(days=days)).isoformat()
    if _INSTANT_KEY.fullmatch(key):
        return (datetime.fromisoformat(value) + timedelta(days=days)).isoformat()
    return value
