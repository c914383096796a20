"""A scenario shown to the owner: a chapter apart, and nothing of it anywhere else."""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation

from fleet.models import Machine
from inspections import scenarios, versions
from inspections.models import Scenario
from inspections.scenarios import answering, keeping
from reports.composition import tried as tried_chapter
from reports.composition.reader import Reader
from reports.pdf import document
from tests.inspections.assessment.snapshots import snapshot, worn
from tests.inspections.scenarios import tried
from tests.reports.composition.test_documents import composed
from tests.reports.orders import NOW, asked
from tests.reports.pdf import opened

pytestmark = pytest.mark.django_db


def scenario(cast, name, *, shared, knows=""):
    machine = Machine.objects.get(code="MH-1")
    return Scenario.objects.create(
        contractor=cast.contractor,
        machine=machine,
        name=name,
        changes={"car_mass_kg": 900.0},
        answer={**tried.answer(), "measure_first": ["car_mass_kg"]},
        knows=knows,
        rules_version=str(versions.JUDGING),
        membership_id=cast.memberships["OFFICE"].pk,
        shared_with_owner=shared,
    )


def test_what_is_shared_is_a_chapter_of_its_own_and_changes_nothing_else(measured):
    report = asked(measured)
    without = composed(measured, report)
    scenario(measured, "kept to ourselves", shared=False)
    assert composed(measured, report) == without

    scenario(measured, "a lighter car", shared=True)
    frozen = composed(measured, report)

    [shown] = frozen.tried
    assert shown.title == "MH-1: a lighter car"
    assert frozen.machines == without.machines
    answers = [
        each
        for each in frozen.summary.answers
        if each.question != "Was a change tried on paper?"
    ]
    assert replace(frozen.summary, answers=tuple(answers)) == without.summary
    assert len(frozen.summary.answers) == len(answers) + 1
    text = opened.whole(document.draw(document=frozen))
    for said in (
        "Changes that were tried on paper",
        "a calculation of a change that was not made",
        "Nothing of it is in the findings, grades or dates of this report.",
        "suspend the car independently",
        "mass of the empty car: 900 kg",
    ):
        assert opened.folded(said) in text


def test_both_sides_both_ends_and_what_to_measure_first_stand_in_it(measured):
    scenario(measured, "a lighter car", shared=True)

    [shown] = composed(measured, asked(measured)).tried

    about = {row.label: row.value for row in shown.about}
    assert "mass of the empty car" in about["To be measured first"]
    assert "test again" in about["What it supposes"]
    first = shown.findings.rows[0]
    assert first[3] == "worse"
    assert first[0].endswith("groove 1, 2, 3, 4, 5")
    ends = next(row["then"] for row in tried.answer()["findings"] if row["then"])
    assert ends["worst"] < ends["best"] < 0.0
    low, high = (f"−{abs(ends[name]):.3g}" for name in ("worst", "best"))
    assert f"margin from {low} to {high}" in first[2]
    assert "the calculation does not close" in first[2]
    turns = {row[0]: row[3] for row in shown.findings.rows}
    whole = next(name for name in turns if name.startswith("Traction of the ropes"))
    assert turns[whole] == "not compared"
    cases = {row[0]: row[1:] for row in shown.traction.rows}
    assert len(cases) == 5
    empty = next(row for name, row in cases.items() if "empty car" in name)
    assert empty[2].startswith("−")
    named = {row[0] for row in shown.figures.rows}
    assert {"balance", "safety factor of the ropes"} <= named


def test_a_machine_that_has_moved_on_says_so(measured):
    machine = Machine.objects.get(code="MH-1")
    scope = measured.scope()
    known = keeping.digest_of(
        keeping.snapshot_of(scope=scope, machine_id=machine.pk, now=NOW)
    )
    row = scenario(measured, "a lighter car", shared=True, knows=known)
    report = asked(measured)
    assert composed(measured, report).tried[0].moved_on == ""

    Scenario.objects.filter(pk=row.pk).update(rules_version="1")

    assert "worked out anew" in composed(measured, report).tried[0].moved_on


def test_a_german_report_says_it_in_german(measured):
    scenario(measured, "a lighter car", shared=True)

    with translation.override("en"):
        frozen = composed(measured, asked(measured, language="de"))

    [shown] = frozen.tried
    assert "nicht gemacht wurde" in frozen.wording.tried_note
    said = " ".join(
        text
        for table in (shown.findings, shown.traction, shown.figures)
        for text in (table.title, table.note, *(c.heading for c in table.columns))
    )
    assert [
        word for word in ("As it", "Margin", "Would", "finding") if word in said
    ] == []


def test_a_cut_says_whether_it_fits_and_what_lacks_to_know():
    changes = scenarios.read({"cut_depth_mm": 2.0})
    found = scenarios.work_out(snapshot(*worn(2.5)), changes)
    cut = answering.of_answer(found)["cut"]
    reader = Reader(family="INCH", zone=ZoneInfo("Europe/London"))
    known = cut | {"metal_left_mm": 12.7, "thinnest_groove": 3}

    said = tried_chapter._cut(cut, reader=reader)

    assert said.startswith("the cut cannot be assessed; what lacks: ")
    assert "metal" in said
    metal = tried_chapter._cut(known, reader=reader)
    assert "least metal left, under groove 3: 0.500 in" in metal
