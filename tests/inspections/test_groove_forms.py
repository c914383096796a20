"""Whoever asks which form a groove is knows every form that can be registered."""

import dataclasses

import pytest

from fleet.models import SheaveGeometry
from fleet.register.choices import GrooveForm
from inspections import inputs
from inspections.decisions import order_lines
from inspections.engineering import cut
from inspections.engineering.groove import BY_CODE, FORMS, SetBy
from inspections.forecasts import series
from inspections.kinds import KINDS
from tests.inspections.assessment.snapshots import ROUND, UNDERCUT, V


def test_the_register_and_the_kernel_have_the_same_forms():
    assert set(BY_CODE) == set(GrooveForm.values)
    assert set(FORMS) == set(cut.KnownForm)
    assert len(set(FORMS.values())) == len(FORMS)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_has_a_class_of_wear_bare_and_hardened(form):
    found = f"seat depth, {form.value}"

    assert series.STARTING_RATES[found] > series.STARTING_RATES[f"{found}, hardened"]


@pytest.mark.parametrize("shape", FORMS.values())
def test_every_form_says_what_a_tool_is_set_by(shape):
    angles = [each for each in shape.set_by if each in order_lines._SET_BY]

    assert angles
    assert set(shape.set_by) - set(angles) <= {SetBy.SEAT, SetBy.SLOT}


@pytest.mark.parametrize("shape", FORMS.values())
def test_every_form_is_made_of_columns_of_the_register(shape):
    columns = {name for column in shape.columns for name in column.columns}
    fields = {field.name for field in dataclasses.fields(shape)}

    assert columns <= {field.name for field in SheaveGeometry._meta.get_fields()}
    assert {column.field for column in shape.columns} <= fields


@pytest.mark.parametrize("shape", FORMS.values())
def test_what_only_some_forms_are_measured_by_are_kinds(shape):
    assert shape.measured_by <= set(KINDS)


def test_only_forms_with_a_bottom_are_read_down_to_it():
    read = {
        form for form, shape in FORMS.items() if "bottom_clearance" in shape.measured_by
    }

    assert read == {form for form, shape in FORMS.items() if shape.has_bottom}


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
