"""Tables: no heading is broken within a word while another column has room."""

import pytest

from reports import content
from reports.figures import lettering
from reports.pdf import blocks, styles


def widths(*columns, width=495.0):
    table = content.Table(
        title="t",
        columns=tuple(content.Column(heading=h, share=s) for h, s in columns),
        rows=(),
    )
    return blocks.table(table, width=width)._argW


def needs(word):
    return lettering.width(word, size=styles.HEAD.fontSize, face=lettering.BOLD)


def test_a_narrow_column_is_as_wide_as_its_headings_longest_word():
    narrow, wide = widths(("Wahrscheinlichkeit hier", 0.1), ("Was", 3.0))

    assert narrow > needs("Wahrscheinlichkeit")
    assert narrow < needs("Wahrscheinlichkeit hier")
    assert narrow + wide == pytest.approx(495.0)


def test_columns_keep_their_shares_where_every_heading_fits():
    assert widths(("One", 1.0), ("Two", 3.0), width=400.0) == [100.0, 300.0]


def test_where_no_column_has_room_shares_stay():
    assert widths(
        ("Wahrscheinlichkeit", 1.0), ("Wahrscheinlichkeit", 1.0), width=90
    ) == [
        45.0,
        45.0,
    ]
