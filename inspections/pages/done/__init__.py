"""Work reported done: which parts are new, and what was read as left."""

from inspections.pages.done.pages import ReportDone, ReportWork

__all__ = ["ReportDone", "ReportWork"]
