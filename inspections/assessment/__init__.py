"""Assess machines from their latest readings; every finding can be worked out again."""

from inspections.assessment.assessing import PROJECT, assess

__all__ = ["PROJECT", "assess"]
