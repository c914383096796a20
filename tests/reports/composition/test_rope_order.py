"""The order of a rope set: as registered, with its hitches, and what is not known."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import RopeSet
from inspections.models import PlannedWork
from reports import content
from reports.pdf import document
from tests import callers, estates
from tests.reports.composition.test_documents import composed, of_machine
from tests.reports.orders import NOW
from tests.reports.pdf import opened

pytestmark = pytest.mark.django_db


def order(cast, **style):
    return composed(cast, of_machine(cast, "ROPE_ORDER", **style))


def line(found, what):
    return next(row for row in found.to_order.rows if row[0] == what)


def test_it_has_the_ropes_as_registered_and_each_with_groove_and_hitches(measured):
    found = order(measured)

    assert line(found, "Number of ropes")[1] == "5"
    assert line(found, "Nominal diameter of the ropes")[1] == "13.0 mm"
    assert [row[:2] for row in found.ropes.rows] == [
        (str(n), str(n)) for n in range(1, 6)
    ]
    assert found.masthead.number.startswith("RP-")


def test_what_nobody_has_registered_is_named_and_keeps_it_from_being_placed(measured):
    found = order(measured)

    assert not found.may_be_placed
    assert "length of a rope: to be measured on site" in found.not_known
    assert line(found, "Length from hitch to hitch, worked out and not measured")
    assert found.headline.startswith("This order may not be placed yet.")


def test_what_is_registered_is_not_called_unknown(measured):
    callers.confine(measured)
    RopeSet.objects.update(length_m=63.5, breaking_force_kn=74.3)

    found = order(measured)

    assert line(found, "Length from hitch to hitch")[1] == "63.50 m"
    assert line(found, "Breaking force of one rope")[1] == "at least 74.30 kN"
    known = {"length of a rope: to be measured on site", "breaking force of one rope"}
    assert not known & set(found.not_known)


def test_ropes_are_ordered_by_their_length_and_not_by_that_of_a_wave(measured):
    callers.confine(measured)
    RopeSet.objects.update(measured_length_m=12.5, length_m=None)

    found = order(measured)

    said = [cell for row in found.to_order.rows for cell in row]
    assert not [cell for cell in said if cell.startswith("12.50 m")]
    assert "length of a rope: to be measured on site" in found.not_known


def test_ropes_are_ordered_for_the_work_that_was_chosen(measured):
    report = of_machine(measured, "ROPE_ORDER")
    PlannedWork.objects.create(
        contractor=measured.contractor,
        machine_id=report.machine_id,
        kind="RENEW_RIM",
        chosen_at=NOW,
    )

    found = composed(measured, report)

    assert found.description[0].value == "renew the rim and re-rope"


def test_the_tests_after_it_stand_there_with_blanks(measured):
    found = order(measured)

    asked_for = [row[0] for row in found.after_fitting.rows]
    assert "Traction test, 125 % static" in asked_for
    assert all(row[1:] == ("", "", "") for row in found.after_fitting.rows)


def test_lengths_are_in_feet_where_the_reader_takes_inches(measured):
    callers.confine(measured)
    RopeSet.objects.update(length_m=30.48)

    found = order(measured, unit_family="INCH")

    assert line(found, "Length from hitch to hitch")[1] == "100.00 ft"


def test_all_of_it_is_on_the_drawn_order_and_in_german_too(measured):
    found = order(measured, language="de")

    assert content.from_json(content.to_json(found)) == found
    text = opened.whole(document.draw(document=found))
    rows = (*found.to_order.rows, *found.ropes.rows)
    for words in (found.headline, *found.not_known, *(c for r in rows for c in r)):
        assert opened.folded(words) in text, words
    assert "Lehre" not in text
    assert line(found, "Anzahl der Seile")[1] == "5"


def test_composing_needs_as_many_queries_whatever_else_there_is(measured):
    report = of_machine(measured, "ROPE_ORDER")
    with CaptureQueriesContext(connection) as few:
        composed(measured, report)
    estates.grow(measured, machines=4)

    with CaptureQueriesContext(connection) as many:
        composed(measured, report)

    assert len(many) == len(few)
