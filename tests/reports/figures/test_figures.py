"""Every figure: nothing outside, no words over words, labelled, true to scale."""

from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest
from reportlab.graphics import shapes

from reports import content
from reports.figures import (
    grade_mark,
    groove_section,
    lettering,
    portfolio_strip,
    rim_section,
    scaling,
    tension_bars,
    wear_curve,
)
from reports.figures.svg import svg
from tests.reports import sample_content, sample_figures, stress_content
from tests.reports.figures import drawn

WORDING = content.Wording()
STRIP = sample_content.summary().strip


def groove(section):
    return groove_section.groove_section(section=section, wording=WORDING)


def wear(curve):
    return wear_curve.wear_curve(curve=curve, wording=WORDING)


def rim(record):
    return rim_section.rim_section(rim=record, wording=WORDING)


def bars(record):
    return tension_bars.tension_bars(tensions=record, wording=WORDING)


def strip(record):
    return portfolio_strip.portfolio_strip(strip=record, wording=WORDING)


FIGURES = {
    "undercut": (groove, sample_figures.undercut_section()),
    "v": (groove, sample_figures.v_section()),
    "clearance": (wear, sample_figures.clearance_curve()),
    "seat": (wear, sample_figures.seat_curve()),
    "rim": (rim, sample_figures.rim()),
    "tensions": (bars, sample_figures.tensions()),
    "strip": (strip, STRIP),
}


@pytest.fixture(params=FIGURES)
def figure(request):
    return FIGURES[request.param]


def test_no_text_stands_outside_the_drawing(figure):
    draw, record = figure

    drawing = draw(record)

    for text in drawn.written(drawing):
        assert text.left >= -0.6, text
        assert text.right <= drawing.width + 0.6, text
        assert text.bottom >= -1.5, text
        assert text.top <= drawing.height + 0.6, text


def test_no_text_stands_over_another(figure):
    draw, record = figure

    texts = drawn.written(draw(record))

    over = [(a.words, b.words) for a, b in combinations(texts, 2) if a.overlaps(b)]
    assert over == []


@pytest.mark.parametrize("text", [stress_content.LONG_NAME, "W"])
def test_long_words_stay_inside_the_drawing(figure, text):
    draw, record = figure
    long = stress_content.with_texts(record, text)

    drawing = draw(long)

    for written in drawn.written(drawing):
        assert written.right <= drawing.width + 0.6, written


def test_every_word_of_a_section_is_in_it():
    section = sample_figures.undercut_section()

    words = " ".join(text.words for text in drawn.written(groove(section)))

    for dimension in section.dimensions:
        assert all(word in words for word in dimension.label.split())
    assert "13.0 mm" in words
    assert section.scale_bar.label in words
    assert "drawn 2.5 : 1 on the printed page" in words


def test_a_section_is_drawn_true_to_the_scale_it_names():
    drawing = groove(sample_figures.undercut_section())

    circle = next(s for s in drawn.all_shapes(drawing) if isinstance(s, shapes.Circle))

    # The rope of 13 mm at 2.5 : 1 takes 32.5 mm of paper.
    assert circle.r * 2 / 72 * 25.4 == pytest.approx(13.0 * 2.5)


def test_the_greatest_round_scale_that_fits_is_taken():
    place = scaling.fitting(
        left_mm=0.0,
        right_mm=20.0,
        low_mm=-10.0,
        high_mm=0.0,
        corner=(0.0, 0.0),
        room=(20 * 3.2 * scaling.POINTS_PER_MM, 500.0),
    )

    assert place.ratio_words == "3 : 1"
    assert place.point((20.0, 0.0)) == pytest.approx((170.08, 85.04), abs=0.01)


def test_a_section_too_large_for_any_scale_is_refused():
    with pytest.raises(ValueError, match="too large"):
        scaling.fitting(
            left_mm=0.0,
            right_mm=20000.0,
            low_mm=0.0,
            high_mm=1.0,
            corner=(0.0, 0.0),
            room=(100.0, 100.0),
        )


def test_a_groove_without_wear_is_drawn_as_new():
    section = replace(sample_figures.v_section(), worn_outline=None, contact_arcs=())

    words = [text.words for text in drawn.written(groove(section))]

    assert "as new" in words
    assert "as worn" not in words
    assert "metal worn away" not in words


def test_a_groove_without_rope_is_drawn():
    section = replace(
        sample_figures.v_section(), rope_centre=None, rope_diameter_mm=None
    )

    drawing = groove(section)

    assert not any(isinstance(s, shapes.Circle) for s in drawn.all_shapes(drawing))


def test_a_curve_without_limit_or_forecast_is_drawn():
    curve = replace(
        sample_figures.seat_curve(), limit=None, forecast=(), crossing=(), today=None
    )

    words = [text.words for text in drawn.written(wear(curve))]

    assert "reading, with its uncertainty" in words
    assert "limit, with its uncertainty" not in words
    assert "forecast, median" not in words


def test_a_curve_says_limit_band_and_dates_in_words():
    words = [text.words for text in drawn.written(wear(sample_figures.seat_curve()))]

    assert "calculation closes up to 2.74 mm" in words
    assert "early: Apr 2028" in words
    assert "80 % of forecasts fall in here" in words
    assert "Seat depth [mm]" in words


def test_a_forecast_is_cut_at_the_edge_of_the_chart():
    curve = sample_figures.seat_curve()
    steep = replace(
        curve,
        forecast=tuple(
            content.ForecastPoint(x=p.x, p10=p.p10, p50=p.p50 * 3, p90=p.p90 * 9)
            for p in curve.forecast
        ),
    )

    drawing = wear(steep)

    for shape in drawn.all_shapes(drawing):
        if isinstance(shape, shapes.Polygon | shapes.PolyLine):
            assert max(shape.points[1::2]) <= drawing.height


def test_grades_differ_without_colour():
    looks = set()
    for grade in content.PrintedGrade:
        mark = grade_mark.grade_mark(grade=grade, wording=WORDING)
        frames = [s for s in drawn.all_shapes(mark) if isinstance(s, shapes.Rect)]
        text = next(s for s in drawn.all_shapes(mark) if isinstance(s, shapes.String))
        looks.add(
            (
                len(frames),
                bool(frames[0].strokeDashArray),
                text.fontName,
                frames[0].fillColor.rgb(),
            )
        )

    assert len(looks) == len(content.PrintedGrade)


def test_svg_is_the_same_each_time_and_holds_the_words(figure):
    draw, record = figure

    texts = [
        svg(drawing=draw(record), title=record.title, description=record.description)
        for _ in range(2)
    ]

    assert texts[0] == texts[1]
    root = ElementTree.fromstring(texts[0])
    assert record.description in "".join(root.itertext())
    assert "DejaVuSans" not in texts[0].replace("DejaVu Sans", "")


def test_markup_in_a_label_stays_text_in_svg():
    tensions = sample_figures.tensions()
    bar = replace(tensions.bars[0], value_label='<script>"&amp;')
    drawing = bars(replace(tensions, bars=(bar,)))

    text = svg(drawing=drawing, title="<b>", description="&")

    root = ElementTree.fromstring(text)
    assert '<script>"&amp;' in "".join(root.itertext())
    assert all("script" not in element.tag for element in root.iter())


def test_a_label_the_font_lacks_is_refused():
    tensions = sample_figures.tensions()
    bar = replace(tensions.bars[0], label="rope 🪢")

    with pytest.raises(lettering.UnprintableText):
        bars(replace(tensions, bars=(bar,)))


@pytest.mark.parametrize("name", FIGURES)
def test_no_letter_of_a_figure_is_under_8_points(name):
    draw, record = FIGURES[name]

    sizes = [
        shape.fontSize
        for shape in drawn.all_shapes(draw(record))
        if isinstance(shape, shapes.String) and shape.text
    ]

    assert sizes
    assert min(sizes) >= 8.0


def test_the_makers_least_metal_is_a_line_across_the_rim_and_in_the_legend():
    record = sample_figures.rim()
    left, right = record.metal[0][0], record.metal[-3][0]
    with_line = replace(record, least_line=((left, -16.0), (right, -16.0)))

    bare, lined = rim(record), rim(with_line)

    def lines(drawing):
        found = drawn.all_shapes(drawing)
        return [s for s in found if isinstance(s, shapes.PolyLine)]

    words = [text.words for text in drawn.written(lined)]
    assert len(lines(lined)) > len(lines(bare))
    assert WORDING.legend_least_metal in words
    assert WORDING.legend_least_metal not in [t.words for t in drawn.written(bare)]


def test_a_row_names_what_is_passed_and_its_bar_where_it_is_free():
    row = replace(
        STRIP.rows[0],
        low=0.6 * STRIP.time_axis.high,
        median=None,
        high=STRIP.time_axis.high,
        note="rope diameter",
        beyond="fastening",
    )

    texts = [each.words for each in drawn.written(strip(replace(STRIP, rows=(row,))))]

    said = WORDING.strip_beyond.format(beyond="fastening")
    assert WORDING.strip_both.format(beyond=said, bar="rope diameter") in texts
