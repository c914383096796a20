"""A field of an option stands in its record; the rest of the house follows from it."""

from dataclasses import dataclass, fields

import pytest
from django.utils import translation

from inspections.api import from_records
from inspections.api.options import _BY_TYPE, OptionOut
from inspections.decisions.records import Option, OptionKind, Possible, shown, sourced
from inspections.engineering.verdict import Item
from inspections.options.storing import as_json
from inspections.reasons import Code, Term
from reports.composition.decided import option
from reports.composition.reader import Reader
from tests.reports.orders import NOW


@dataclass(frozen=True, slots=True, kw_only=True)
class Longer(Option):
    """An option with fields that nobody else has heard of."""

    days_on_site: int | None = shown("time to get the parts", unit="days")
    asked_for: tuple[Item, ...] = ()
    noisy: bool = False


LONGER = Longer(
    kind=OptionKind.RE_ROPE,
    possible=Possible.YES,
    days_on_site=3,
    asked_for=(Term.CAR_MASS,),
    reasons=(sourced(Code.NOTHING_ASKED),),
)


def test_every_field_of_an_option_is_stored_and_given():
    names = {field.name for field in fields(Option)}

    assert names <= set(as_json(LONGER))
    assert names <= set(OptionOut().fields)


def test_a_new_field_is_stored_by_its_annotation():
    said = as_json(LONGER)

    assert (said["days_on_site"], said["noisy"]) == (3, False)
    assert said["reasons"][0]["said"]["code"] == Code.NOTHING_ASKED


def test_a_new_field_is_given_by_its_annotation():
    found = from_records.fields_of(Longer, by_type=_BY_TYPE)

    assert found["days_on_site"].allow_null
    assert found["days_on_site"].to_representation(3) == 3
    assert {"asked_for", "asked_for_said", "noisy"} <= set(found)


def test_a_type_that_nobody_can_give_is_refused():
    @dataclass(frozen=True)
    class Odd:
        when: complex

    with pytest.raises(KeyError):
        from_records.fields_of(Odd, by_type={})


def test_an_option_of_an_earlier_version_gives_null_for_a_new_field():
    said = as_json(LONGER)
    said.pop("lead_days")

    given = OptionOut(from_records.completed(Option, said)).data

    assert given["lead_days"] is None
    assert given["kind"] == "RE_ROPE"


def test_whoever_sees_no_cost_is_given_none():
    said = {name: value for name, value in as_json(LONGER).items() if name != "cost"}

    given = OptionOut(from_records.completed(Option, said)).data

    assert "cost" not in given


@pytest.mark.parametrize(
    ("language", "label", "value"),
    [
        ("en", "Time to get the parts", "30 days"),
        ("de", "Zeit für die Beschaffung der Teile", "30 Tage"),
    ],
)
def test_documents_show_what_the_record_declares_as_shown(language, label, value):
    reader = Reader(family="METRIC", zone=NOW.tzinfo, language=language)
    said = as_json(LONGER) | {"lead_days": 30}

    with translation.override(language):
        printed = option.option_of(said, reader=reader, is_chosen=False)
        without = option.option_of(
            said | {"lead_days": None}, reader=reader, is_chosen=False
        )

    assert [(row.label, row.value) for row in printed.further] == [(label, value)]
    assert without.further == ()
