"""The five grades of a finding, from the calmest to the most urgent."""

from enum import StrEnum


class PrintedGrade(StrEnum):
    """How urgent a finding is. Shown in words, never by colour alone."""

    IN_ORDER = "IN_ORDER"
    KEEP_AN_EYE_ON = "KEEP_AN_EYE_ON"
    PLAN_WORK = "PLAN_WORK"
    ACT_NOW = "ACT_NOW"
    NOT_ASSESSED = "NOT_ASSESSED"


# "Not assessed" stands after "monitor": an unknown is no comfort.
MOST_URGENT_FIRST = (
    PrintedGrade.ACT_NOW,
    PrintedGrade.PLAN_WORK,
    PrintedGrade.NOT_ASSESSED,
    PrintedGrade.KEEP_AN_EYE_ON,
    PrintedGrade.IN_ORDER,
)
