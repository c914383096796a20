"""What people typed is printed literally, or refused with the name of its field."""

import random
import re
import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from reports import content
from reports.figures import lettering
from reports.pdf import document, printable, styles, text
from tests.reports import sample_content
from tests.reports.pdf import opened

PDF = Path(document.__file__).parent

NAMES = [
    "<b>bold</b> & <i>co</i>",
    "AT&T; R&D &amp; &#x41;",
    "<Lifts> Ltd",
    "unbalanced </para> <font color=red>",
    '<img src="http://127.0.0.1:9/x.png"/>',
    '<a href="javascript:alert(1)">link</a>',
    "Łódź Żółć, Ελλάδα, Nguyễn Thị Hồng, 1½ ⌀ 13 − ≤ ² ½ →",
    'it\'s "quoted" \\ {braces} %s $x$ (paren',
]


def named(name):
    """Return the sample report whose machine, owner and finding bear a name."""
    report = sample_content.report()
    machine = report.machines[0]
    finding = replace(machine.findings[0], where=name)
    owner = replace(report.masthead.owner, name=name)
    return replace(
        report,
        masthead=replace(report.masthead, owner=owner),
        machines=(replace(machine, name=name, findings=(finding,)),),
    )


@pytest.mark.parametrize("name", NAMES)
def test_markup_in_names_is_printed_as_typed(name):
    drawn = document.draw(document=named(name))

    pages = opened.pages(drawn)
    assert opened.folded(name) in pages[0]
    assert "".join(pages).count(opened.folded(name)) >= 3


@pytest.mark.parametrize("name", NAMES)
def test_names_make_no_link_and_no_image(name):
    opened_file = opened.reader(document.draw(document=named(name)))

    for page in opened_file.pages:
        for link in page.get("/Annots", ()):
            # Links of our own lead to pages of this document, never out of it.
            assert link.get_object()["/Dest"][0].get_object() in opened_file.pages
            assert "/A" not in link.get_object()
        assert not list(page.images)


def test_a_picture_named_in_a_text_is_not_opened(tmp_path, monkeypatch):
    canary = tmp_path / "canary.png"
    Image.new("RGB", (8, 8), (12, 34, 56)).save(canary)
    opened_paths = []
    original = Image.open
    monkeypatch.setattr(
        Image, "open", lambda *a, **k: (opened_paths.append(a), original(*a, **k))[1]
    )

    name = f'<img src="{canary}" width="8" height="8"/>'
    drawn = document.draw(document=named(name))

    assert opened_paths == []
    assert b"/Subtype /Image" not in drawn
    assert opened.folded(name) in opened.whole(drawn)


@pytest.mark.parametrize(
    ("name", "character"),
    [
        ("lift 🛗", "🛗"),
        ("שלום", "ש"),
        ("مصعد", "م"),
        ("电梯", "电"),
        ("ลิฟต์", "ล"),
        ("tab\there", "\t"),
        ("nul\x00", "\x00"),
        ("escape\x1b[0m", "\x1b"),
        ("next line\x85", "\x85"),
        ("override \u202egnp.exe", "\u202e"),
        ("isolate \u2066x", "\u2066"),
        ("zero\u200bwidth", "\u200b"),
        ("soft\u00adhyphen", "\u00ad"),
        ("line\u2028separator", "\u2028"),
        ("private \ue000", "\ue000"),
        ("unassigned \u0378", "\u0378"),
        ("surrogate \ud800", "\ud800"),
        ("return\r\n", "\r"),
    ],
)
def test_what_the_fonts_cannot_print_is_refused_with_its_field(name, character):
    report = sample_content.report()
    machine = replace(report.machines[1], name=name)
    spoilt = replace(report, machines=(report.machines[0], machine))

    with pytest.raises(lettering.UnprintableText) as refused:
        printable.check(spoilt)

    assert refused.value.field == "machines[1].name"
    assert refused.value.character == character
    assert f"U+{ord(character):04X}" in str(refused.value)


def test_a_refused_text_is_refused_by_drawing_too():
    with pytest.raises(lettering.UnprintableText, match=r"masthead\.owner\.name"):
        document.draw(document=named("owner 🏢"))


def test_figure_words_are_checked_before_anything_is_drawn():
    report = sample_content.report()
    section = replace(report.machines[0].groove_sections[0], rope_label="١٣ mm")
    machine = replace(report.machines[0], groove_sections=(section,))

    with pytest.raises(lettering.UnprintableText) as refused:
        document.draw(document=replace(report, machines=(machine,)))

    assert refused.value.field == "machines[0].groove_sections[0].rope_label"


def test_a_decomposed_name_is_printed_composed():
    name = unicodedata.normalize("NFD", "Nguyễn Żółw")

    drawn = document.draw(document=named(name))

    assert opened.folded("Nguyễn Żółw") in opened.whole(drawn)


def test_no_letter_of_the_basic_plane_can_turn_into_a_box():
    """Each is either printed with a glyph of its own or refused."""
    chance = random.Random(7)
    letters = [chr(code) for code in chance.sample(range(0x20, 0xD7FF), 3000)]

    printed = [letter for letter in letters if _is_printed(letter)]

    assert 200 < len(printed) < 2000
    for letter in printed:
        composed = unicodedata.normalize("NFC", letter)
        assert all(ord(part) in lettering._letters() for part in composed)


def _is_printed(letter):
    try:
        lettering.printable(letter, field="name")
    except lettering.UnprintableText:
        return False
    return True


@pytest.mark.parametrize(
    ("field", "text", "message"),
    [
        ("machines[0].name", "x" * 401, "has 401 characters; at most 400 fit"),
        ("machines[0].summary", "x" * 4001, "has 4001 characters; at most 4000 fit"),
        ("summary.answers[0].paragraphs[1]", "\n" * 61, "has 61 line breaks; at most"),
        ("masthead.owner.name", "\n" * 3, "has 3 line breaks; at most 2 fit"),
    ],
)
def test_a_text_too_long_for_its_field_is_refused(field, text, message):
    with pytest.raises(printable.TextTooLong) as refused:
        printable.check_length(text, field=field)

    assert str(refused.value).startswith(f"{field} {message}")


@pytest.mark.parametrize(
    ("field", "length"),
    [("machines[0].name", 400), ("machines[0].rope_table.rows[1][2]", 4000)],
)
def test_a_text_that_just_fits_its_field_is_taken(field, length):
    printable.check_length("x" * length, field=field)


def test_a_line_break_breaks_the_line():
    flowable = text.paragraph("one\ntwo", style=styles.BODY)

    _, height = flowable.wrap(400, 400)

    assert height == 2 * styles.BODY.leading


def test_runs_are_escaped_one_by_one():
    flowable = text.paragraph(
        [text.Run(text="<b>", bold=True), text.Run(text=" & ")], style=styles.BODY
    )

    assert flowable.getPlainText() == "<b> &"


def test_only_one_place_builds_paragraphs():
    builds = re.compile(r"(?<!class )\b\w*Paragraph\(")

    found = {
        path.name: len(builds.findall(path.read_text()))
        for folder in (PDF, Path(lettering.__file__).parent)
        for path in folder.rglob("*.py")
    }

    assert {name: uses for name, uses in found.items() if uses} == {"text.py": 1}


def test_every_text_of_a_record_is_found_with_its_path():
    report = sample_content.report()

    found = dict(printable.texts(report))

    assert found["masthead.place.name"] == "Osiedle Żółta Łąka"
    assert found["machines[0].findings[1].cautions[0]"].startswith("Out of service")
    assert len(found) > 300
    assert content.Wording().findings in found.values()
