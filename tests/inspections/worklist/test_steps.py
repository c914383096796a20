"""The table of visits: kinds that exist, places they take, minutes of the practice."""

import pytest

from fleet.register.choices import GrooveForm
from inspections.inputs import noise
from inspections.kinds import KINDS, PLACE_VALUES
from inspections.models import StopCause, VisitKind
from inspections.reasons import NAMES
from inspections.worklist import surprising
from inspections.worklist.listed import LastReading
from inspections.worklist.steps import STEPS, steps_of, usual_minutes
from tests import factories


def test_every_reading_it_asks_for_is_one_that_can_be_sent():
    for step in STEPS:
        for wanted in step.wanted:
            subjects = {KINDS[kind].subject for kind in wanted.kinds}
            assert len(subjects) == 1, wanted
            assert set(wanted.forms) <= set(GrooveForm.values)
            for kind in (KINDS[code] for code in wanted.kinds):
                assert set(wanted.apart) <= {*kind.place, *kind.may}
                for at in wanted.at:
                    assert set(at) <= {*kind.place, *kind.may}
                    assert all(v in PLACE_VALUES[key] for key, v in at.items())


def test_every_kind_of_visit_has_steps():
    assert all(steps_of(visit) for visit in VisitKind.values)


@pytest.mark.parametrize(
    ("code", "minutes"),
    # Common practice, no source: half an hour with the ropes on, and visits of their
    # own for the rest.
    [
        ("diameters", 5),
        ("crowns", 5),
        ("open arc", 8),
        ("wires", 7),
        ("run-by", 3),
        ("rim", 150),
        ("masses", 90),
        ("tensions", 15),
        ("slip test", 10),
        ("hardness", 10),
    ],
)
def test_minutes_are_those_of_the_practice(code, minutes):
    [step] = [step for step in STEPS if step.code == code]

    assert step.minutes == minutes


def test_a_routine_visit_is_half_an_hour():
    assert usual_minutes("ROUTINE") == 30
    assert usual_minutes("RIM_SURVEY") == 150 + 20


# --- surprises ------------------------------------------------------------------------
def last(value=None, word="", unit="mm"):
    return LastReading(
        id=1,
        value=value,
        unit=unit,
        word=word,
        taken_at=factories.NOW,
        unconfirmed=False,
    )


def expect(kind, found, d=13.0):
    return surprising.expect(kind=KINDS[kind], last=found, rope_diameter_mm=d)


def test_a_rope_does_not_grow_and_the_band_stays_below():
    found = expect("rope_diameter", last(12.6))

    # 0.85 d is the band's end; above, three times the scatter of two readings.
    assert found.at_or_below == pytest.approx(11.05)
    assert found.at_or_above == pytest.approx(
        12.6 + 3 * 2**0.5 * noise.NOISE_MM["rope_diameter"]
    )
    assert "grown" in found.words


def test_without_a_last_reading_the_usual_band_is_all():
    found = expect("rope_diameter", None)

    assert (found.at_or_below, found.at_or_above) == pytest.approx((11.05, 14.04))
    assert "usual from 11.05 to 14.04" in found.words


def test_without_a_rope_diameter_a_band_in_diameters_is_not_guessed():
    found = expect("rope_diameter", None, d=None)

    assert (found.at_or_below, found.at_or_above, found.words) == (None, None, "")


def test_broken_wires_do_not_heal():
    found = expect("breaks_total", last(5.0, unit="1"))

    assert found.at_or_below == 4.0
    assert "fewer than the 5 of last time" in found.words


@pytest.mark.parametrize("kind", ["breaks_total", "rope_crown_step"])
def test_nothing_at_all_is_no_surprise_where_less_cannot_be(kind):
    found = expect(kind, None)

    assert found.at_or_below is None
    assert found.at_or_above > 0


def test_a_limit_is_said_without_the_noise_of_binary_fractions():
    found = expect("rope_diameter", None, d=12.7)

    assert (found.at_or_below, found.at_or_above) == (10.795, 13.716)


def test_words_that_stop_and_two_grades_at_once_surprise():
    assert expect("slip_seen", None).words == "yes: told at once"
    assert expect("rouge", last(word="none")).words == "heavy, after none last time"
    assert expect("rouge", last(word="trace")).words == ""


def test_every_step_and_every_cause_of_a_stop_has_its_words():
    assert all(NAMES[step.said] for step in STEPS)
    assert {cause: NAMES[f"cause_{cause.lower()}"] for cause in StopCause.values} == (
        dict(StopCause.choices)
    )
