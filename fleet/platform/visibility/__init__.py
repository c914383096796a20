"""Who may see which rows and which fields, and who may do what: said once.

`tables` is the rule of one table, which stands beside its model; `acts` what can be
done at a door, by whom and with which key; `asking` the questions that every surface
puts before it shows or does something: API, files that go out, calendars, pages.
"""

from fleet.platform.visibility.tables import (
    EVERYONE,
    OFFICE,
    STAFF,
    Visibility,
    just,
    only,
    sees_everything,
    without,
)

__all__ = [
    "EVERYONE",
    "OFFICE",
    "STAFF",
    "Visibility",
    "just",
    "only",
    "sees_everything",
    "without",
]
