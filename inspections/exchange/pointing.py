"""From an upload's pointers to the columns of the file that its readings came from."""

from collections.abc import Mapping

from inspections.exchange import rows
from inspections.exchange.rows import UploadLine

# The last steps of an upload's pointer -> the file's column.
_VISIT_COLUMNS = {
    "reference": "visit",
    "machine": "machine",
    "kind": "visit_kind",
    "visited_at": "visited_at",
    "note": "visit_note",
    "work": "work_kind",
    "work/kind": "work_kind",
    "work/done_on": "work_done_on",
}


def column_of(pointer: str) -> str:
    """Return the column that an upload's pointer leads to."""
    # "", "visits", the visit's number, and then what is wrong with it.
    steps = pointer.split("/")[3:]
    if steps[:1] == ["readings"]:
        return steps[-1] if len(steps) > 2 else "kind"
    return _VISIT_COLUMNS.get("/".join(steps), "visit")


def detail_of(line: UploadLine, problem: Mapping[str, str]) -> str:
    """Return what is wrong, in words that fit a reference made from a row's place."""
    if problem["code"] != "reference-reused" or not rows.is_made(line.reference):
        return problem["detail"]
    return (
        "a reading of this kind at this place and time is stored with another value; "
        "give this one a reference of its own, or let it correct that one"
    )
