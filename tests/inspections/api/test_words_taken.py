"""A client that sends words which are not taken, or no more, is told which ones are."""

import pytest

from inspections.models import Grade
from tests import callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return factories.cast(code="north")


def told(answer):
    assert answer.status_code == 400, answer.content
    return answer.content.decode()


def of_reading(cast, **reading):
    answer = callers.upload(cast, factories.upload(reading | {"unit": None}))
    [said] = answer.json()["readings"]
    return said["problem"]["detail"]


def test_a_word_of_a_reading_is_answered_with_those_that_its_kind_takes(north):
    said = of_reading(
        north, kind="rouge", rope=1, value="a little", place={"station": "car"}
    )

    assert said == "'a little': rouge takes none, trace, heavy"


def test_a_kind_of_reading_is_answered_with_the_nearest_there_are(north):
    said = of_reading(north, kind="diameter_of_rope", value="11.8")

    assert "is no kind of reading" in said
    assert "rope_diameter" in said.split("nearest")[1]


def test_a_field_of_a_reading_is_answered_with_those_there_are(north):
    said = of_reading(north, kind="rope_diameter", value="11.8", measured_at="today")

    assert said.endswith(
        "there are clock_offset_s, corrects, gauge, groove, kind, note, place, "
        "reference, rope, sequence, taken_at, unit, value"
    )


def test_a_word_of_a_filter_is_answered_with_those_that_it_takes(north):
    said = told(callers.call(north, "GET", "/api/v1/findings?grade=pass"))

    assert "pass is not taken here" in said
    assert [grade for grade in Grade if grade.value not in said] == []


def test_a_field_of_a_body_is_answered_with_those_there_are(north):
    body = {"machine": 1, "option": "WATCH", "remark": "-"}

    said = told(callers.call(north, "POST", "/api/v1/planned-works", body))

    assert "there are although, due_before_on, machine, note, option" in said


def test_a_word_of_a_body_is_answered_with_those_that_its_field_takes(north):
    body = {"machine": 1, "option": "MEND"}

    said = told(callers.call(north, "POST", "/api/v1/planned-works", body))

    assert "is not taken here; use one of WATCH, MEASURE_FIRST, EQUALISE" in said
