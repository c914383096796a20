"""Content to JSON and back without loss, and its checksum.

The bytes are canonical: keys sorted, no spaces, UTF-8, the shortest digits that
give the same float again. Equal content gives equal bytes on every machine.
"""

import hashlib
import json
from typing import Any

from reports.content.coding import ContentUnreadable, decode, encode
from reports.content.condition import ConditionReport
from reports.content.fieldsheet import FieldSheet
from reports.content.portfolio import PortfolioReview
from reports.content.regroove import RegrooveSheet
from reports.content.ropes import RopeOrder
from reports.content.service import ReturnToService

Content = (
    ConditionReport
    | FieldSheet
    | PortfolioReview
    | RegrooveSheet
    | ReturnToService
    | RopeOrder
)

SCHEMA = 1
_KINDS: dict[str, type[Content]] = {
    "condition-report": ConditionReport,
    "field-sheet": FieldSheet,
    "portfolio-review": PortfolioReview,
    "regroove-order": RegrooveSheet,
    "return-to-service": ReturnToService,
    "rope-order": RopeOrder,
}


def kind_of(content: Content) -> str:
    """Return the stored name of a content's kind, such as ``field-sheet``."""
    return next(kind for kind, record in _KINDS.items() if type(content) is record)


def to_plain(content: Content) -> dict[str, Any]:
    """Return content as dictionaries, lists, texts and numbers for a JSON column."""
    return {
        "kind": kind_of(content),
        "schema": SCHEMA,
        "content": encode(type(content), content),
    }


def to_json(content: Content) -> bytes:
    """Return the canonical bytes. Raises ValueError for NaN and infinity."""
    return json.dumps(
        to_plain(content),
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
    ).encode("utf-8")


def from_plain(stored: Any) -> Content:
    """Return the content that ``to_plain`` gave. Raises ContentUnreadable."""
    if not isinstance(stored, dict) or stored.get("kind") not in _KINDS:
        raise ContentUnreadable(place="kind", problem="is missing or unknown")
    if stored.get("schema") != SCHEMA:
        raise ContentUnreadable(
            place="schema", problem=f"is {stored.get('schema')!r}; it must be {SCHEMA}"
        )
    content: Content = decode(_KINDS[stored["kind"]], stored.get("content"))
    return content


def from_json(stored: bytes | str) -> Content:
    """Return the content that ``to_json`` wrote. Raises ContentUnreadable."""
    try:
        plain = json.loads(stored)
    except ValueError as error:
        raise ContentUnreadable(place="", problem=f"is no JSON: {error}") from error
    return from_plain(plain)


def checksum(content: Content) -> str:
    """Return the SHA-256 of the canonical bytes as 64 hexadecimal digits."""
    return hashlib.sha256(to_json(content)).hexdigest()
