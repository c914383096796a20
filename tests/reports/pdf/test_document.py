"""The condition report as a file: same bytes, whole text, nothing foreign inside."""

import hashlib
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from reports import content
from reports.pdf import document, printable
from tests.reports import sample_content, sample_documents, stress_content
from tests.reports.pdf import opened

ROOT = Path(__file__).parents[3]
DOCUMENTS = {
    "report": sample_content.report,
    "letter": lambda: stress_content.on_letter(sample_content.report()),
    "sheet": sample_documents.field_sheet,
    "review": sample_documents.portfolio_review,
    "record": sample_documents.return_to_service,
    "order": sample_documents.regroove_sheet,
    "ropes": sample_documents.rope_order,
}
DIGESTS = """
import hashlib, sys
from reports.pdf import document
from tests.reports import sample_content, sample_documents
for make in (sample_content.report, sample_documents.field_sheet,
             sample_documents.portfolio_review, sample_documents.return_to_service,
             sample_documents.regroove_sheet, sample_documents.rope_order):
    print(hashlib.sha256(document.draw(document=make())).hexdigest())
"""


def digests(**environment):
    """Return the digests of the sample documents drawn by a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", DIGESTS],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.split()


def test_the_same_content_gives_the_same_bytes_in_every_process():
    one = digests(PYTHONHASHSEED="1", TZ="Asia/Kathmandu")
    other = digests(PYTHONHASHSEED="2", TZ="UTC", SOURCE_DATE_EPOCH="1700000000")

    here = [
        hashlib.sha256(document.draw(document=make())).hexdigest()
        for name, make in DOCUMENTS.items()
        if name != "letter"
    ]
    assert one == other == here


def test_content_read_back_from_json_gives_the_same_bytes(drawn):
    again = content.from_json(content.to_json(sample_content.report()))

    assert document.draw(document=again) == drawn


def test_what_was_drawn_before_leaves_no_trace(drawn):
    document.draw(document=sample_documents.field_sheet())

    assert document.draw(document=sample_content.report()) == drawn


def test_every_finding_stands_there_whole(drawn):
    text = opened.whole(drawn)

    for machine in sample_content.report().machines:
        for finding in machine.findings:
            for words in (
                finding.what,
                finding.where,
                finding.value,
                finding.limit,
                finding.margin,
                finding.meaning,
                finding.criterion,
                finding.source,
                finding.how_sure,
                *finding.readings,
                *finding.cautions,
            ):
                assert opened.folded(words) in text, words


def test_a_findings_caution_stands_on_the_page_of_its_value(drawn):
    finding = sample_content.report().machines[0].findings[1]

    page = next(
        text
        for text in opened.pages(drawn)
        if opened.folded(finding.value) in text
        and opened.folded(finding.what) in text
        and opened.folded(finding.source) in text
    )

    assert opened.folded(finding.cautions[0]) in page


def test_findings_come_with_the_most_urgent_first(drawn):
    text = opened.whole(drawn)
    what = [
        "Clearance under the rope in the slot",
        "Spread of rope tensions",
        "Rope diameter",
        "Traction, car loaded with 125 %",
    ]

    places = [text.index(opened.folded(f"{words} · ")) for words in what]

    assert places == sorted(places)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_text_of_the_content_is_printed(name):
    made = DOCUMENTS[name]()

    text = opened.whole(document.draw(document=made))

    for path, words in texts_to_print(made, name):
        assert opened.folded(words) in text, path


def test_no_text_is_lost_where_blocks_go_over_pages():
    report = stress_content.numbered_report()

    text = opened.whole(document.draw(document=report))

    numbered = [
        (path, words)
        for path, words in texts_to_print(report, "numbered")
        if words.startswith("no") and not _is_figure_word(path)
    ]
    assert len(numbered) > 150
    for path, words in numbered:
        assert _in_pieces(opened.folded(words), text), path


def _is_figure_word(path):
    """Tell whether a text stands in a figure, which shortens what is too long."""
    figures = ("groove_sections[", "wear_curves[", ".rim.", ".tensions.")
    whole = (".caption", ".outlook", ".limit_label")
    return any(part in path for part in figures) and not path.endswith(whole)


def _in_pieces(words, text):
    """Tell whether all of a text is there: a page may end within it, a column too."""
    unit = words[: words.index("x") + 1]
    return text.count(unit) >= words.count(unit)


def texts_to_print(made, name):
    """Yield the texts that must be found: not labels that have nothing to label.

    Figure descriptions are for readers of SVG; ticks, strips and dimension labels
    are figure words, which the figures' own tests look for.
    """
    skipped = ("wording.", ".description_", "strip.", "language", "paper", "qr_text")
    figures = (".ticks[", "_axis.", "dimensions[", ".scale_bar", "today", ".title")
    for path, words in printable.texts(made):
        if path.endswith(".description") or path.startswith(skipped):
            continue
        if ".strip." in path or any(part in path for part in figures):
            continue
        if path.endswith((".grade", ".align", ".kind", ".paper", ".language")):
            continue
        # Codes by which the next report follows a matter.
        if path.startswith("summary.decisions[") and path.endswith((".asks", ".work")):
            continue
        # Where a line of an answer leads to; the line itself has the words.
        if path.startswith("summary.answers[") and (
            ".machines[" in path or ".heads[" in path
        ):
            continue
        # A sheet is for the technician: the address of the place is enough.
        if name == "sheet" and path.startswith(
            ("masthead.ow", "masthead.contractor.l")
        ):
            continue
        if name == "sheet" and path.endswith((".reason", ".code", ".version")):
            continue
        if words:
            yield path, words


def test_page_one_answers_and_cautions(drawn):
    first = opened.pages(drawn)[0]
    report = sample_content.report()

    for answer in report.summary.answers:
        assert opened.folded(answer.question) in first
    for caution in report.masthead.cautions:
        assert (opened.folded(caution.text) in first) == caution.on_first_page
    assert opened.folded(report.summary.headline) in first


def test_paragraphs_lead_to_the_machine_that_they_name_by_its_code():
    report = sample_content.report()
    named = links_on_page_one(report)

    def with_machines(machines):
        answers = list(report.summary.answers)
        answers[2] = replace(answers[2], machines=machines)
        return replace(report, summary=replace(report.summary, answers=tuple(answers)))

    # The text begins with the code and a colon all the same.
    assert links_on_page_one(with_machines(("", "M-02"))) == named - 1
    assert links_on_page_one(with_machines(())) == named - 2
    assert links_on_page_one(with_machines(("M-99", "M-01"))) == named - 2


def test_each_machine_at_the_head_of_a_paragraph_is_led_to():
    report = sample_content.report()
    answer = content.AnsweredQuestion(
        question="Which checks were not made?",
        paragraphs=("M-01, M-02: wear.", "M-03 was added."),
        heads=(("M-01", "M-02"), ("M-03",)),
    )
    own = replace(report.summary, answers=(answer,))

    none = replace(own, answers=(replace(answer, heads=((), ())),))
    codes = {machine.code for machine in report.machines}

    found = [links_on_page_one(replace(report, summary=each)) for each in (own, none)]
    assert found[0] - found[1] == len({"M-01", "M-02", "M-03"} & codes) >= 2


def links_on_page_one(report):
    page = opened.reader(document.draw(document=report)).pages[0]
    return len(page.get("/Annots", ()))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_page_carries_deferral_number_revision_and_checksum(name):
    made = DOCUMENTS[name]()

    pages = opened.pages(document.draw(document=made))

    for number, page in enumerate(pages, start=1):
        assert opened.folded(made.masthead.deferral) in page
        assert opened.folded(made.masthead.number) in page
        assert f"revision{made.masthead.revision}" in page
        assert content.checksum(made) in page
        assert f"Page{number}of" in page
        assert page.count(f"of{len(pages)}") >= 1


def test_a_report_names_the_one_it_replaces(drawn):
    assert all(
        opened.folded("replaces CR-2026-0042 revision 1") in page
        for page in opened.pages(drawn)
    )


def test_the_file_says_what_it_is(drawn):
    opened_file = opened.reader(drawn)

    information = opened_file.metadata
    assert information.title == "Sheaves and ropes at Osiedle Żółta Łąka · CR-2026-0042"
    assert information.author == sample_content.masthead().contractor.name
    assert content.checksum(sample_content.report()) in information.keywords
    assert information.creation_date == sample_content.ISSUED_AT
    assert opened_file.trailer["/Root"]["/Lang"] == "en"


def test_the_outline_leads_to_every_machine_and_chapter(drawn):
    opened_file = opened.reader(drawn)

    titles = {}
    pending = list(opened_file.outline)
    while pending:
        entry = pending.pop()
        if isinstance(entry, list):
            pending += entry
        else:
            titles[entry.title] = opened_file.get_destination_page_number(entry)

    for machine in sample_content.report().machines:
        page = titles[f"{machine.code}  {machine.name}"]
        assert opened.folded(machine.name) in opened.pages(drawn)[page]
    assert {"Criteria and their sources", "Glossary", "Cautions"} <= set(titles)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_all_fonts_are_our_own_and_embedded(name):
    fonts = {}
    for page in opened.reader(document.draw(document=DOCUMENTS[name]())).pages:
        for font in page["/Resources"]["/Font"].values():
            fonts[font["/BaseFont"]] = font

    assert fonts
    for base, font in fonts.items():
        assert "DejaVuSansCondensed" in base
        assert "/FontFile2" in font["/FontDescriptor"]


def test_no_machine_gives_a_report_that_says_so():
    pages = opened.pages(document.draw(document=stress_content.report_of(0)))

    assert opened.folded("No machine of this place was in service.") in pages[0]


LIMITS = {
    "sixty": lambda: stress_content.report_of(60),
    "one": lambda: stress_content.report_of(1),
    "long word": lambda: stress_content.long_report(stress_content.LONG_NAME),
    "long sentence": lambda: stress_content.long_report(stress_content.LONG_SENTENCE),
    "long prose": lambda: stress_content.wordy_report("wordy " * 600 + "end"),
    "sheet": sample_documents.field_sheet,
}


@pytest.fixture(scope="module")
def at_limits():
    """Return the reports at their limits, each drawn once."""
    return {name: document.draw(document=make()) for name, make in LIMITS.items()}


@pytest.mark.long
@pytest.mark.parametrize("name", LIMITS)
def test_no_page_is_empty(at_limits, name):
    masthead = LIMITS[name]().masthead

    pages = opened.pages(at_limits[name])

    frame = len(opened.folded(masthead.deferral)) + 200
    frame += min(2 * len(masthead.period), 60)
    assert all(len(page) > frame for page in pages)
    assert f"of{len(pages)}" in pages[0]


@pytest.mark.long
def test_sixty_machines_all_have_their_pages(at_limits):
    text = opened.whole(at_limits["sixty"])

    for machine in stress_content.report_of(60).machines:
        assert opened.folded(f"{machine.code} {machine.name}") in text


@pytest.mark.long
def test_a_name_of_300_characters_is_printed_whole(at_limits):
    text = opened.whole(at_limits["long word"])

    assert len(stress_content.LONG_NAME) == 300
    assert opened.folded(stress_content.LONG_NAME) in text


def test_a_text_longer_than_a_page_goes_on_over_pages():
    long = " ".join(f"word{number}" for number in range(450))
    report = sample_content.report()
    machine = replace(
        report.machines[2],
        not_assessed=(content.NotAssessed(what="x", reason=long, remedy="y"),),
    )

    text = opened.whole(document.draw(document=replace(report, machines=(machine,))))

    assert all(f"word{number}" in text for number in range(450))


def test_the_file_is_sound(drawn, tmp_path):
    if shutil.which("qpdf") is None:
        pytest.skip("qpdf is not installed")
    path = tmp_path / "report.pdf"
    path.write_bytes(drawn)

    done = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True)

    assert done.returncode == 0, done.stdout + done.stderr


def test_a_field_sheet_asks_for_the_number_of_each_gauge():
    sheet = sample_documents.field_sheet()

    text = opened.whole(document.draw(document=sheet))

    by_gauge = [step for step in sheet.steps if step.unit]
    asked = text.count(opened.folded(sheet.wording.gauge_number))
    assert asked == len(by_gauge) >= 2
