"""Does a file keep what PDF/A-2a and PDF/UA-1 ask of it, as far as a program can tell?

Rules of ISO 19005-2 (clauses 6.x) and of ISO 14289-1 (clauses 5 and 7.x) with failure
conditions of the Matterhorn Protocol 1.1 (``mp``), each with its number. They were
written for what our documents use: a file with other means (layers, composite fonts,
spot colours) fails rather than being looked into. Nothing here certifies anything.
"""

from reports.pdf.rules import (
    annotations,
    content,
    files,
    fonts,
    graphics,
    metadata,
    structure,
)
from reports.pdf.rules.listed import RULES, Fault
from reports.pdf.rules.opened import Opened

__all__ = ["ROOMS", "RULES", "Fault", "faults"]

ROOMS = (annotations, content, files, fonts, graphics, metadata, structure)


def faults(drawn: bytes, *, only: str = "") -> list[Fault]:
    """Return what a file breaks: each rule's number with what breaks it."""
    opened = Opened(drawn)
    return [
        Fault(number=rule.number, found=told)
        for rule in RULES
        if only in ("", rule.number)
        for told in rule.check(opened)
    ]
