"""Whoever asks which form a groove is knows every form that can be registered."""

import pytest

from fleet.models import SheaveGeometry
from fleet.register.choices import GrooveForm
from inspections import inputs
from inspections.assessment import next_cut
from inspections.decisions import order_lines
from inspections.engineering import cut
from inspections.forecasts import series
from tests.inspections.assessment.snapshots import ROUND, UNDERCUT, V


@pytest.mark.parametrize("form", GrooveForm)
def test_every_form_has_a_class_of_wear_bare_and_hardened(form):
    found = series._SEAT_CLASS[form]

    assert {found, f"{found}, hardened"} <= set(series.STARTING_RATES)


@pytest.mark.parametrize("form", GrooveForm)
def test_every_form_can_be_planned_for_a_cut_and_ordered(form):
    assert next_cut._FORMS[form].name == form.name
    assert order_lines._BY_FORM[cut.GrooveForm[form.name]]


def test_every_form_is_made_into_a_record_of_its_own():
    made = {
        given["form"]: type(inputs.groove_of(SheaveGeometry(**given))).__name__
        for given in (ROUND, V, UNDERCUT)
    }

    assert set(made) == set(GrooveForm.values)
    assert len(set(made.values())) == len(made)


def test_no_form_stands_in_for_one_that_is_not_known():
    unknown = SheaveGeometry(**UNDERCUT | {"form": "FLAT"})

    with pytest.raises(inputs.Missing, match="a method for grooves of the form FLAT"):
        inputs.groove_of(unknown)
