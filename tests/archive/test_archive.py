"""Every kind of document keeps the rules, and each rule tells a file that breaks it."""

from dataclasses import replace
from typing import get_args

import pytest

from reports import content
from reports.pdf import document
from tests import archive
from tests.archive import mutants_of_structure
from tests.archive.mutants import MUTANTS
from tests.reports import (
    sample_content,
    sample_documents,
    sample_machines,
    stress_content,
)

KINDS = {
    "report": sample_content.report,
    "report on letter": lambda: stress_content.on_letter(sample_content.report()),
    "numbered report": stress_content.numbered_report,
    "field sheet": sample_documents.field_sheet,
    "review": sample_documents.portfolio_review,
    "service record": sample_documents.return_to_service,
    "regroove order": sample_documents.regroove_sheet,
    "rope order": sample_documents.rope_order,
}


def small_report():
    """Return a report of one machine with a link, a list, a table and a figure."""
    report = sample_content.report()
    machine = replace(
        sample_machines.undercut_machine(),
        groove_sections=(),
        wear_curves=(),
        reading_matrices=(),
    )
    return replace(
        report, machines=(machine,), criteria_sets=(), glossary=(), method=()
    )


@pytest.fixture(scope="module")
def whole():
    return document.issue(document=small_report())


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_document_keeps_every_rule(kind):
    drawn = document.issue(document=KINDS[kind]())

    assert archive.faults(drawn) == []


def test_no_kind_of_document_is_left_out():
    assert {type(make()) for make in KINDS.values()} == set(get_args(content.Content))


def test_mutants_of_the_structure_are_in_the_list():
    assert mutants_of_structure.__name__ in {m.__module__ for _, m in MUTANTS}


def test_every_rule_has_a_file_that_breaks_it():
    assert {number for number, _ in MUTANTS} == {rule.number for rule in archive.RULES}


def test_the_file_that_mutants_are_made_of_is_whole(whole):
    assert archive.faults(whole) == []


@pytest.mark.parametrize(
    ("number", "broken"), MUTANTS, ids=[change.__name__ for _, change in MUTANTS]
)
def test_a_rule_tells_the_file_that_breaks_it(number, broken, whole):
    told = archive.faults(broken(whole), only=number)

    assert told, f"{number} does not tell {broken.__name__}"
