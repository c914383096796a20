"""The records of content: frozen, complete, and refusing what misleads."""

from dataclasses import FrozenInstanceError, fields, is_dataclass, replace

import pytest

from reports import content
from reports.content import PrintedGrade
from tests.reports import sample_content

RECORDS = [
    record
    for record in vars(content).values()
    if isinstance(record, type) and is_dataclass(record)
]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.__name__)
def test_every_record_is_frozen_slotted_and_explained(record):
    assert record.__dataclass_params__.frozen
    assert "__dict__" not in dir(record)
    assert record.__doc__
    assert not record.__doc__.startswith(f"{record.__name__}(")


def test_content_cannot_be_changed_after_it_was_made():
    report = sample_content.report()

    with pytest.raises(FrozenInstanceError):
        report.machines = ()


def test_every_grade_has_its_own_words():
    words = {content.Wording().of_grade(grade) for grade in PrintedGrade}

    assert words == {
        "nothing found in the checks made",
        "monitor",
        "plan work",
        "act now",
        "not known",
    }


def test_the_order_of_urgency_names_every_grade_once():
    assert sorted(content.MOST_URGENT_FIRST) == sorted(PrintedGrade)
    assert content.MOST_URGENT_FIRST[0] is PrintedGrade.ACT_NOW
    assert content.MOST_URGENT_FIRST[-1] is PrintedGrade.IN_ORDER


def test_no_fixed_word_is_empty_or_promises_anything():
    promises = ("safe", "guarantee", "fine", "approved", "cures")

    for field in fields(content.Wording):
        words = getattr(content.Wording(), field.name)
        assert words.strip()
        assert not any(promise in words.lower() for promise in promises), field.name


def test_a_masthead_without_a_caution_for_page_one_is_refused():
    masthead = sample_content.masthead()
    hidden = tuple(
        replace(caution, on_first_page=False) for caution in masthead.cautions
    )

    with pytest.raises(ValueError, match="no caution is for page one"):
        replace(masthead, cautions=hidden)


def test_a_masthead_without_deferral_is_refused():
    with pytest.raises(ValueError, match="deferral is empty"):
        replace(sample_content.masthead(), deferral="")


def test_two_machines_with_one_code_are_refused():
    report = sample_content.report()

    with pytest.raises(ValueError, match="same code"):
        replace(report, machines=report.machines[:1] * 2)


def test_an_axis_that_runs_backwards_is_refused():
    with pytest.raises(ValueError, match="low end must lie below"):
        content.ChartAxis(label="Seat depth [mm]", low=2.0, high=2.0, ticks=())
