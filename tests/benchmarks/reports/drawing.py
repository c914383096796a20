"""From frozen content to bytes, against a bare document of the same run."""

import gc
import time
from collections.abc import Callable
from typing import Any

from reportlab.graphics.shapes import Drawing

from reports import content
from reports.pdf import document
from tests.benchmarks.reports import bare

REPEATS, CHECKED = 5, 2


def measure(*, frozen: content.ConditionReport) -> dict[str, float]:
    """Return the seconds of both, their ratio, and what both documents hold.

    Both are drawn in turn, several times; the best of each counts. What goes out is
    twice also checked by every rule of archives before it is marked: told apart, since
    nothing checks the bare document.
    """
    drawn = bare.recorded(frozen)
    for items in drawn.pages.values():
        items[:] = [
            bare.plain(item) if isinstance(item, Drawing) else item for item in items
        ]
    ours, yardstick, issued = [], [], []
    for at in range(REPEATS):
        ours.append(_seconds(lambda: document.draw(document=frozen)))
        if at < CHECKED:
            issued.append(_seconds(lambda: document.issue(document=frozen)))
        yardstick.append(_seconds(lambda: bare.build(drawn)))
    return {
        **drawn.counts,
        "bare_pages": _pages(bare.build(drawn)),
        "drawing_seconds": round(min(ours), 4),
        "bare_drawing_seconds": round(min(yardstick), 4),
        "ratio_to_bare_document": round(min(ours) / min(yardstick), 3),
        "ratio_with_checked_marks": round(min(issued) / min(yardstick), 3),
        "pages_per_lift_owner": round(owners_pages(frozen) / len(frozen.machines), 2),
    }


def owners_pages(frozen: content.ConditionReport) -> int:
    """Return how many pages there are before the technical annex."""
    from io import BytesIO

    from pypdf import PdfReader

    reader = PdfReader(BytesIO(document.draw(document=frozen)))
    begins = (
        reader.get_destination_page_number(entry)
        for entry in reader.outline
        if not isinstance(entry, list) and entry.title == frozen.wording.annex
    )
    return next(begins)


def _seconds(draw: Callable[[], Any]) -> float:
    gc.collect()
    begun = time.perf_counter()
    draw()
    return time.perf_counter() - begun


def _pages(drawn: bytes) -> int:
    from io import BytesIO

    from pypdf import PdfReader

    return len(PdfReader(BytesIO(drawn)).pages)
