"""The file's own layer: what it says about itself, its colours, its letters."""

import io
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pikepdf
import pytest
from PIL import ImageCms

from reports.pdf import archive, document, flow, rules
from tests.reports import sample_content, sample_documents

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
DC = "{http://purl.org/dc/elements/1.1/}"
PART = "{http://www.aiim.org/pdfa/ns/id/}part"
UA_PART = "{http://www.aiim.org/pdfua/ns/id/}part"


def metadata(drawn):
    with pikepdf.open(io.BytesIO(drawn)) as pdf:
        return ElementTree.fromstring(pdf.Root.Metadata.read_bytes())


def test_the_file_says_about_itself_what_its_properties_say():
    drawn = document.issue(document=sample_content.report())
    told = metadata(drawn)

    with pikepdf.open(io.BytesIO(drawn)) as pdf:
        assert told.find(f".//{DC}title/{RDF}Alt/{RDF}li").text == str(
            pdf.docinfo.Title
        )
        assert told.find(f".//{DC}creator/{RDF}Seq/{RDF}li").text == str(
            pdf.docinfo.Author
        )
    assert told.find(f".//{PART}").text == "2"
    assert told.find(f".//{UA_PART}").text == "1"


def test_words_with_marks_of_xml_stand_in_the_metadata_as_they_are():
    report = sample_content.report()
    title = 'Sheaves <b>&amp; ropes</b> {0} "of" M'
    masthead = replace(report.masthead, title=title)

    told = metadata(document.issue(document=replace(report, masthead=masthead)))

    said = told.find(f".//{DC}title/{RDF}Alt/{RDF}li").text
    assert said.startswith(title)


def test_the_profile_is_srgb():
    profile = Path(archive.__file__).parent / "profile" / "sRGB.icc"
    ours = ImageCms.ImageCmsProfile(str(profile)).profile
    theirs = ImageCms.createProfile("sRGB")

    assert ours.xcolor_space.strip() == "RGB"
    assert ours.version < 4.5
    for colour in ("red_colorant", "green_colorant", "blue_colorant"):
        one, other = getattr(ours, colour)[0], getattr(theirs, colour)[0]
        assert one == pytest.approx(other, abs=5e-4)


def test_a_file_that_says_no_language_carries_no_mark():
    report = sample_content.report()
    masthead = replace(report.masthead, language=" ")

    told = metadata(document.issue(document=replace(report, masthead=masthead)))

    assert told.find(f".//{PART}") is None


def test_a_figure_without_words_takes_the_marks_away(monkeypatch):
    monkeypatch.setattr(flow.Figure, "draw", _without_words(flow.Figure.draw))

    told = metadata(document.issue(document=sample_content.report()))

    assert told.find(f".//{PART}") is None
    assert told.find(f".//{UA_PART}") is None


def test_one_broken_rule_whichever_it_is_keeps_the_marks_away(monkeypatch, plain):
    file, described = plain
    for rule in rules.RULES:
        broken = [replace(rule, check=lambda _opened: iter(["broken"]))]
        monkeypatch.setattr(rules, "RULES", broken)

        assert archive.mark(file, described=described, faults=[]) == file, rule.number


def test_a_file_that_breaks_a_rule_goes_out_without_marks_and_it_is_logged(
    caplog, plain
):
    file, described = plain
    with pikepdf.open(io.BytesIO(file)) as pdf:
        pdf.Root.Lang = pikepdf.String("?")
        broken = io.BytesIO()
        pdf.save(broken)

    assert archive.mark(broken.getvalue(), described=described, faults=[]) == (
        broken.getvalue()
    )
    assert "FS-2026-0107" in caplog.text
    assert "6.7.4" in caplog.text


def test_a_file_that_cannot_be_checked_goes_out_without_marks(monkeypatch, plain):
    file, described = plain
    monkeypatch.setattr(rules, "faults", lambda file: file.no_such_thing)

    assert archive.mark(file, described=described, faults=[]) == file


def test_marks_change_the_metadata_and_nothing_else(plain):
    file, described = plain

    marked = archive.mark(file, described=described, faults=[])

    assert PART not in {each.tag for each in metadata(file).iter()}
    assert PART in {each.tag for each in metadata(marked).iter()}
    assert rules.faults(marked) == []
    assert {each.number for each in rules.faults(file)} == {
        "6.6.4",
        "7.1, 5, mp 06-002",
    }


@pytest.fixture(scope="module")
def plain():
    """A sheet as it is drawn, without marks, and what it says about itself."""
    drawn = document._drawn(sample_documents.field_sheet())
    return drawn.file, drawn.described


def _without_words(draw):
    def drawn(figure):
        figure._alternative = figure._alternative and " "
        draw(figure)

    return drawn
