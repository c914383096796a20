"""Figures in pages: no styles of their own, no names that another figure has."""

import re

import pytest

from reports import content
from reports.figures import groove_section, svg, tension_bars, wear_curve
from tests.reports import sample_figures


def drawings():
    words = content.Wording()
    return {
        "M-1.groove-1": groove_section.groove_section(
            section=sample_figures.undercut_section(), wording=words
        ),
        "M-1.wear-1": wear_curve.wear_curve(
            curve=sample_figures.seat_curve(), wording=words
        ),
        "M-1.tensions": tension_bars.tension_bars(
            tensions=sample_figures.tensions(), wording=words
        ),
    }


def inline(key, **words):
    said = {"title": "a title", "description": "a description"} | words
    return svg.inline(drawing=drawings()[key], key=key, **said)


@pytest.mark.parametrize("key", drawings())
def test_a_figure_in_a_page_has_no_style_of_its_own_and_keeps_its_looks(key):
    drawn = inline(key)
    alone = svg.svg(drawing=drawings()[key], title="a title", description="")

    assert "style=" not in drawn
    for look in ("font-size", "fill", "stroke"):
        assert len(re.findall(rf'[ "]{look}="', drawn)) >= len(
            re.findall(rf"[ \";]{look}: ", alone)
        )
    assert "<title>a title</title>" in drawn
    assert 'role="img"' in drawn


def test_a_figure_in_a_page_is_lighter_and_draws_the_same_to_a_hundredth():
    key = next(iter(drawings()))
    alone = svg.svg(drawing=drawings()[key], title="a title", description="")

    drawn = inline(key)

    number = re.compile(r"-?\d+(?:\.\d+)?")
    paths = [re.findall(r' d="([^"]+)"', each) for each in (alone, drawn)]
    for before, now in zip(*paths, strict=True):
        both = [[float(n) for n in number.findall(d)] for d in (before, now)]
        assert both[1] == pytest.approx(both[0], abs=0.006)
    assert paths[1]
    assert len(drawn) < len(alone)


def test_no_two_figures_of_a_page_share_a_name_and_each_finds_its_own():
    drawn = [inline(key) for key in drawings()]
    names = [set(re.findall(r' id="([^"]+)"', each)) for each in drawn]
    wanted = [set(re.findall(r"url\(#([^)]+)\)", each)) for each in drawn]

    assert len(set().union(*names)) == sum(map(len, names))
    for own, asked in zip(names, wanted, strict=True):
        assert asked <= own


def test_a_title_is_shown_as_text():
    drawn = inline("M-1.tensions", title='<b onload="x">')

    assert "<b" not in drawn
    assert "&lt;b" in drawn


@pytest.mark.parametrize("key", drawings())
def test_letters_of_the_last_line_have_room_below_the_drawing(key):
    high = float(drawings()[key].height)

    drawn = inline(key)

    [shown] = re.findall(r'viewBox="0 0 [\d.]+ ([\d.]+)"', drawn)
    [(below, clipped)] = re.findall(
        r'<rect x="0" y="(-[\d.]+)" width="[\d.]+" height="([\d.]+)"', drawn
    )
    assert float(below) < 0.0
    assert float(shown) == pytest.approx(high - float(below), abs=0.01)
    assert float(clipped) == float(shown)
