"""Why something was found, judged or not judged: a code and values, no words.

Rooms hand reasons to each other and decide on codes. The words are looked up at the
edge, in one catalogue; `str` gives English for logs and stored text.
"""

from inspections.reasons.catalogue import NAMES
from inspections.reasons.codes import Code
from inspections.reasons.criteria import Criterion, criterion_of
from inspections.reasons.grades import Grade
from inspections.reasons.making import because, missing, note, together
from inspections.reasons.opening import OpenEnds, open_sentence
from inspections.reasons.places import Place, place_of
from inspections.reasons.reason import Quantity, Reason, UnknownCode, UnknownTerm
from inspections.reasons.rendering import Words, english, named
from inspections.reasons.serial import as_json, from_json
from inspections.reasons.terms import Term
from inspections.reasons.topics import Topic

__all__ = [
    "NAMES",
    "Code",
    "Criterion",
    "Grade",
    "OpenEnds",
    "Place",
    "Quantity",
    "Reason",
    "Term",
    "Topic",
    "UnknownCode",
    "UnknownTerm",
    "Words",
    "as_json",
    "because",
    "criterion_of",
    "english",
    "from_json",
    "missing",
    "named",
    "note",
    "open_sentence",
    "place_of",
    "together",
]
