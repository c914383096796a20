"""Content frozen as JSON: lossless, canonical, refused where it is not whole."""

import hashlib
import json
from dataclasses import replace

import pytest

from reports import content
from tests.reports import sample_content, sample_documents, sample_figures

DOCUMENTS = {
    "condition-report": sample_content.report,
    "field-sheet": sample_documents.field_sheet,
    "portfolio-review": sample_documents.portfolio_review,
    "return-to-service": sample_documents.return_to_service,
    "regroove-order": sample_documents.regroove_sheet,
    "rope-order": sample_documents.rope_order,
}


@pytest.fixture(params=DOCUMENTS)
def document(request):
    return DOCUMENTS[request.param]()


def test_content_comes_back_equal(document):
    stored = content.to_json(document)

    assert content.from_json(stored) == document
    assert content.to_json(content.from_json(stored)) == stored


def test_the_kind_is_stored(document):
    assert content.to_plain(document)["kind"] in DOCUMENTS
    assert content.kind_of(document) == content.to_plain(document)["kind"]


def test_content_survives_a_column_that_keeps_neither_order_nor_spaces(document):
    turned = json.loads(
        json.dumps(content.to_plain(document)), object_pairs_hook=_reversed
    )

    assert content.to_json(content.from_plain(turned)) == content.to_json(document)


def _reversed(pairs):
    return dict(reversed(pairs))


def test_the_checksum_is_that_of_the_bytes(document):
    digest = hashlib.sha256(content.to_json(document)).hexdigest()

    assert content.checksum(document) == digest


def test_one_changed_letter_changes_the_checksum():
    report = sample_content.report()
    headline = replace(report.summary, headline=report.summary.headline + ".")

    changed = replace(report, summary=headline)

    assert content.checksum(changed) != content.checksum(report)


def test_a_whole_number_in_a_float_field_gives_the_bytes_of_a_float():
    whole = replace(
        sample_figures.tensions(), mean=content.AxisTick(position=5, label="")
    )
    float_ = replace(
        sample_figures.tensions(), mean=content.AxisTick(position=5.0, label="")
    )
    report = sample_content.report()

    one, other = (
        replace(report, machines=(replace(report.machines[0], tensions=tensions),))
        for tensions in (whole, float_)
    )

    assert content.to_json(one) == content.to_json(other)


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(number):
    tensions = replace(
        sample_figures.tensions(), mean=content.AxisTick(position=number, label="")
    )
    report = sample_content.report()
    machine = replace(report.machines[0], tensions=tensions)

    with pytest.raises(ValueError, match="Out of range float"):
        content.to_json(replace(report, machines=(machine,)))


def _without_wording_field(plain):
    del plain["content"]["summary"]["headline"]


def _with_unknown(plain):
    plain["content"]["machines"][1]["colour"] = "green"


def _with_number(plain):
    plain["content"]["machines"][0]["name"] = 7


def _with_truth(plain):
    plain["content"]["masthead"]["revision"] = True


def _with_grade(plain):
    plain["content"]["machines"][0]["findings"][1]["grade"] = "FINE"


def _with_flat_point(plain):
    plain["content"]["machines"][0]["groove_sections"][0]["new_outline"][3] = [1.0]


def _with_local_moment(plain):
    plain["content"]["masthead"]["issued_at"] = "2026-11-24T09:30:00"


def _with_short_row(plain):
    plain["content"]["machines"][0]["rope_table"]["rows"][2] = ["3"]


def _with_newer_schema(plain):
    plain["schema"] = 2


def _with_other_kind(plain):
    plain["kind"] = "invoice"


@pytest.mark.parametrize(
    ("spoil", "place"),
    [
        (_without_wording_field, "summary.headline is missing"),
        (_with_unknown, "machines[1] has an unknown field 'colour'"),
        (_with_number, "machines[0].name is no str"),
        (_with_truth, "masthead.revision is no int"),
        (_with_grade, "machines[0].findings[1].grade is wrong"),
        (_with_flat_point, "machines[0].groove_sections[0].new_outline[3] has"),
        (_with_local_moment, "masthead is wrong: issued_at has no offset"),
        (_with_short_row, "machines[0].rope_table is wrong: a row of table"),
        (_with_newer_schema, "schema is 2; it must be 1"),
        (_with_other_kind, "kind is missing or unknown"),
    ],
)
def test_spoilt_content_is_refused_with_its_place(spoil, place):
    plain = content.to_plain(sample_content.report())
    spoil(plain)

    with pytest.raises(content.ContentUnreadable) as refused:
        content.from_plain(plain)

    assert place in str(refused.value)


@pytest.mark.parametrize("stored", [b"", b"{", b"[]", b"\xff\xfe", "null"])
def test_bytes_that_are_no_content_are_refused(stored):
    with pytest.raises(content.ContentUnreadable):
        content.from_json(stored)


def test_content_of_before_a_field_with_a_default_is_still_read():
    plain = content.to_plain(sample_content.report())
    del plain["content"]["machines"][2]["recommendation"]

    assert content.from_plain(plain) == sample_content.report()


def test_a_report_frozen_before_it_told_of_options_is_still_read():
    report = sample_content.report()
    plain = content.to_plain(report)
    added = {
        "possible",
        "order_by",
        "leaves_open",
        "measure_before",
        "pointless",
        "is_chosen",
    }
    for machine in plain["content"]["machines"]:
        del machine["options_cautions"]
        for option in machine["options"]:
            for name in added:
                del option[name]
    for decision in plain["content"]["summary"]["decisions"]:
        del decision["advice"], decision["order_by"]

    found = content.from_plain(plain)

    assert found.machines[0].options[1].name == report.machines[0].options[1].name
    assert found.machines[0].options[1].order_by == ""
    assert found.summary.decisions[0].advice == ""


def test_a_review_frozen_before_it_had_a_worklist_is_still_read():
    plain = content.to_plain(sample_documents.portfolio_review())
    for name in ("worklist", "budget", "by_building", "by_part", "budget_remarks"):
        del plain["content"][name]

    found = content.from_plain(plain)

    assert found.worklist is None
    assert found.budget_remarks == ()
