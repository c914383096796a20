"""Processes look for garbage seldom; what refers to itself still goes in the end."""

import gc
import weakref
from collections.abc import Iterator

import pytest

from fleet.project import garbage


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)
    gc.unfreeze()


def test_what_is_loaded_is_not_looked_through_again() -> None:
    garbage.collect_seldom(sender="a worker")

    assert gc.get_threshold() == garbage.SELDOM
    assert gc.get_freeze_count() > 0


def test_rings_of_rows_still_go() -> None:
    class Row:
        other: "Row"

    garbage.collect_seldom()
    row = Row()
    row.other = row
    seen = weakref.ref(row)
    del row
    # More than one look's worth of rows that are held.
    kept = [[] for _ in range(2 * garbage.SELDOM[0])]

    assert seen() is None
    assert kept
