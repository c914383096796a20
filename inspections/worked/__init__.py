"""Worked calculations: value, limit and margin of a finding, with numbers put in.

Records of codes and values; pages and documents say them in the reader's language.
"""

from inspections.worked import formula, shown
from inspections.worked.records import Line, Number, NumberOrigin, Worked, WorkedLines
from inspections.worked.stored import of_finding, of_loaded
from inspections.worked.told import Told
from inspections.worked.working import of

__all__ = [
    "Line",
    "Number",
    "NumberOrigin",
    "Told",
    "Worked",
    "WorkedLines",
    "formula",
    "of",
    "of_finding",
    "of_loaded",
    "shown",
]
