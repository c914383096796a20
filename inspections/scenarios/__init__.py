"""What a change of a machine would do, worked out before anybody cuts metal."""

from inspections.scenarios.changes import Changes, read
from inspections.scenarios.working_out import work_out

__all__ = ["Changes", "read", "work_out"]
