"""Corrected rules reach every machine, and say so; equal answers change nothing."""

from dataclasses import replace
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Job
from inspections import versions
from inspections.assessment import rules
from inspections.engineering.tables import bending
from inspections.models import Assessment, Cause, Finding, UrgentMail, WearLimit
from tests import callers, factories
from tests.inspections.assessment.visits import assess, latest, send, thin

pytestmark = pytest.mark.django_db
DIAMETER = "diameter_reduction_nominal"


@pytest.fixture
def judged(north):
    """Return a contractor of whose machines one has been judged."""
    send(north, *thin("2.0"))
    assess(north)
    Job.objects.all().delete()
    return north


@pytest.fixture
def at_version(monkeypatch):
    return lambda number: monkeypatch.setattr(versions, "JUDGING", number)


def everything():
    return [
        list(model.objects.order_by("pk").values_list("pk", flat=True))
        for model in (Assessment, Finding, WearLimit, UrgentMail, Job)
    ]


def test_a_halved_limit_judges_the_machines_of_its_set_anew(judged, correct):
    before = latest(judged)
    old = before.findings.filter(topic="rope diameter", place="rope 1").first()
    correct("EN_81_20", DIAMETER, 0.5)

    changed = assess(judged)

    after = latest(judged)
    new = after.findings.get(topic=old.topic, limit=3.0, place="rope 1")
    assert changed
    assert (old.grade, new.grade) == ("IN_ORDER", "ACT_NOW")
    assert after.pk != before.pk
    assert after.cause == Cause.RULES
    assert after.inputs_digest != before.inputs_digest


def test_a_limit_of_another_set_judges_nothing_anew(judged, correct):
    before = everything()
    correct("ASME_A17_1", "breaks_even", 0.5)

    assert assess(judged) == ()
    assert everything() == before


def test_a_corrected_table_changes_the_digest(judged, monkeypatch):
    rows = bending.UNDERCUT.rows
    heavier = replace(rows[0], value=rows[0].value * 2)
    before = latest(judged).inputs["rows"]["rules"]["tables"]
    monkeypatch.setattr(
        bending, "UNDERCUT", replace(bending.UNDERCUT, rows=(heavier, *rows[1:]))
    )
    rules._tables.cache_clear()
    now = rules._tables()
    monkeypatch.undo()
    rules._tables.cache_clear()

    assert now != before
    assert rules._tables() == before


def test_equal_results_of_newer_rules_change_the_version_only(judged, at_version):
    before, rows = latest(judged), everything()
    at_version(versions.JUDGING + 1)

    changed = assess(judged)

    after = latest(judged)
    assert changed == ()
    assert everything() == rows
    assert after.kernel_version == str(versions.JUDGING)
    assert after.inputs_digest != before.inputs_digest
    assert after.inputs["rows"]["rules"]["version"] == versions.JUDGING
    assert (after.cause, after.as_of) == (before.cause, before.as_of)
    assert assess(judged) == ()


def test_an_assessment_of_before_versions_were_numbers_is_judged_anew(judged):
    row = latest(judged)
    facts = {k: v for k, v in row.inputs["rows"].items() if k != "rules"}
    row.inputs["rows"] = facts | {"kernel": "5"}
    row.inputs_digest, row.kernel_version = "0" * 64, "5"
    row.save()

    assert assess(judged) == ()
    assert latest(judged).pk == row.pk
    assert latest(judged).kernel_version == str(versions.JUDGING)


def test_older_rules_do_not_replace_the_same_machine_s_newer_result(judged, at_version):
    mine = versions.JUDGING
    at_version(mine + 1)
    assess(judged)
    at_version(mine)
    before = latest(judged)

    assert assess(judged) == ()
    after = latest(judged)
    assert (after.pk, after.kernel_version) == (before.pk, str(mine + 1))
    assert after.inputs_digest == before.inputs_digest


def test_older_rules_leave_a_new_reading_to_a_worker_with_newer(judged, at_version):
    mine = versions.JUDGING
    at_version(mine + 1)
    assess(judged)
    send(judged, *thin("1.9"), day="2026-05-20")
    at_version(mine)
    with pytest.raises(versions.NewerRules, match=f"version {mine} must not follow"):
        assess(judged)

    at_version(mine + 1)
    assert assess(judged)
    assert latest(judged).kernel_version == str(mine + 1)
    # Both changed, but not since the last look: the rules had judged already.
    assert latest(judged).cause == Cause.FACTS


def test_newer_rules_and_a_new_reading_together_are_said_so(judged, at_version):
    send(judged, *thin("1.9"), day="2026-05-20")
    at_version(versions.JUDGING + 1)
    assess(judged)

    assert latest(judged).cause == Cause.BOTH


def test_a_building_s_own_limit_is_no_change_of_the_rules(judged):
    building = factories.machine(judged.scope()).building
    building.criteria_overrides = {DIAMETER: {"value": 3.0, "source": "own copy"}}
    building.version += 1
    building.save()

    assert assess(judged)
    assert latest(judged).cause == Cause.FACTS


def told(*words):
    said = StringIO()
    call_command("rules_preview", *words, stdout=said)
    return said.getvalue()


def test_preview_lists_who_is_affected_and_writes_nothing(judged, correct):
    before = everything()
    assert "1 a new reason to stand still" not in told()
    correct("EN_81_20", DIAMETER, 0.5)

    short, full = told(), told("--findings", "--contractor", "north")

    callers.confine(judged)
    assert "MH-1, Mill House: NOT_ASSESSED -> ACT_NOW (rules; " in short
    assert "newly to be stopped)" in short
    assert "1 would change by the rules alone" in short
    assert "1 a new reason to stand still." in short
    assert "rope diameter, rope 1, loss of rope diameter" in full
    assert "IN_ORDER -> ACT_NOW" in full
    assert everything() == before
    assert latest(judged).kernel_version == str(versions.JUDGING)


def test_preview_tells_readings_from_rules(judged, correct):
    send(judged, *thin("1.9"), day="2026-05-20")

    assert "0 would change by the rules alone, " in told("--contractor", "north")
    assert "(rules, readings or register; " in told("--contractor", "north")


def test_preview_refuses_an_unknown_contractor_and_older_rules(judged, at_version):
    with pytest.raises(CommandError, match="no contractor 'nobody'"):
        told("--contractor", "nobody")


@pytest.mark.parametrize(
    ("version", "than", "older"),
    [
        ("5", "6", True),
        ("6", "5", False),
        ("10", "9", False),
        ("3.6", "3.6", False),
        ("3.6", "3.7", True),
        ("4.6", "3.7", True),
        ("3.6", "1", False),
        ("6", "no number", False),
    ],
)
def test_versions_have_an_order(version, than, older):
    assert versions.is_older(version=version, than=than) is older


def test_findings_of_before_codes_get_theirs_and_nobody_is_told(judged, at_version):
    said = dict(latest(judged).findings.values_list("pk", "said"))
    texts = dict(latest(judged).findings.values_list("pk", "reason"))
    latest(judged).findings.update(said=None, rule="", reason="as it was said then")
    rows = everything()
    at_version(versions.JUDGING + 1)

    assert assess(judged) == ()

    assert everything() == rows
    assert dict(latest(judged).findings.values_list("pk", "said")) == said
    assert dict(latest(judged).findings.values_list("pk", "reason")) == texts
    assert any(said.values())


def test_words_alone_are_no_other_result(judged, at_version):
    latest(judged).findings.update(criterion="in other words")
    rows = everything()
    at_version(versions.JUDGING + 1)

    assert assess(judged) == ()
    assert everything() == rows


def test_another_code_is_another_result(judged, at_version):
    row = latest(judged).findings.exclude(said=None).first()
    row.said = {"code": "of_another_version", "values": {}}
    row.save()
    at_version(versions.JUDGING + 1)

    assert assess(judged)
    assert latest(judged).cause == Cause.RULES
