"""The grade of what was found: codes here, labels with the findings' rows."""

from enum import StrEnum


class Grade(StrEnum):
    """The grade of a finding, or of a machine by its worst finding and its checks.

    Of a machine the order is act now, plan work, not known, monitor, nothing found.
    """

    NOT_ASSESSED = "NOT_ASSESSED"
    IN_ORDER = "IN_ORDER"
    KEEP_AN_EYE_ON = "KEEP_AN_EYE_ON"
    PLAN_WORK = "PLAN_WORK"
    ACT_NOW = "ACT_NOW"

    @property
    def is_open(self) -> bool:
        """Whether the finding asks for work."""
        return self in (Grade.PLAN_WORK, Grade.ACT_NOW)
