"""The templates say what every column means, and can be brought in themselves."""

import pytest

from fleet.register.exchange import measures, templates
from fleet.register.exchange.register import REGISTER
from tests.fleet.register.exchange import files


def template(resource):
    return templates.csv_template(
        columns=resource.columns, example=templates.EXAMPLE[resource.name]
    )


@pytest.mark.django_db
def test_the_templates_can_be_brought_in_in_their_order():
    scope = files.empty_scope()

    outcomes = files.bring_all_in(
        scope, {resource.name: template(resource) for resource in REGISTER}
    )

    assert [outcome.errors for outcome in outcomes] == [()] * len(REGISTER)
    assert [outcome.created for outcome in outcomes] == [1] * len(REGISTER)


@pytest.mark.parametrize("resource", REGISTER, ids=lambda r: r.name)
def test_every_column_has_a_meaning_and_its_units_are_said(resource):
    guide = templates.guide(
        name=resource.name, columns=resource.columns, key=resource.key_columns
    ).decode()

    for column in resource.columns:
        assert templates.meaning(column), column.name
        line = next(x for x in guide.splitlines() if x.startswith(f"{column.name}: "))
        measure = measures.split(column.name)[1]
        for unit in measure.factors if measure else ():
            assert unit in line, (column.name, unit)


@pytest.mark.parametrize("resource", REGISTER, ids=lambda r: r.name)
def test_no_example_is_given_for_a_column_that_is_not_there(resource):
    names = {column.name for column in resource.columns}

    assert set(templates.EXAMPLE[resource.name]) <= names
