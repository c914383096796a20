"""Every member of a closed list is handled wherever something is decided by it."""

import pytest
from django.utils import translation

from inspections.decisions.records import OptionKind
from inspections.models import PlanState, StopCause
from inspections.planning import changing, kinds
from inspections.reasons import Topic
from inspections.stops import causes
from inspections.templatetags import shown

# Seen at a part, which names the cause; of one rope, which is then to be discarded.
BY_PLACE = {Topic.CHECK}
OF_A_ROPE = {
    *(Topic.ROPE_DISCARD, Topic.ROUGE, Topic.OUTER_WIRES, Topic.LAY_LENGTH),
    *(Topic.CROWN_FLAT_SEALE, Topic.CROWN_FLAT_WARRINGTON, Topic.CROWN_FLAT_FILLER),
    *(Topic.WORN_OR_RUSTED, Topic.TWIST, Topic.DRYNESS, Topic.WETNESS),
    Topic.ROPE_THICKER,
}
# Nobody knows what answers a stop by one of these: a person looks again.
OTHERS = {
    Topic.PULLEY_GROOVES,
    *(Topic.LEVELLING, Topic.SEAT_FIT, Topic.CROWN_STEP, Topic.SEAT_DEPTHS),
    *(Topic.WAYS, Topic.PAIR, Topic.HARDENED, Topic.RUNOUT, Topic.AS_LEFT),
    *(Topic.PRESSURE, Topic.CROWN_HEIGHT, Topic.NUMBER_OF_ROPES),
    *(Topic.NOMINAL_DIAMETER, Topic.SAFETY_FACTOR, Topic.DIAMETER_RATIO),
    *(Topic.ROPE_TENSION, Topic.TENSION_SWING, Topic.COUNTERWEIGHT_RUNBY),
    *(Topic.CAR_RUNBY, Topic.CAR_SPEED, Topic.RIM_HARDNESS, Topic.RIM_METAL),
    *(Topic.LEAST_METAL_DATE, Topic.NEXT_CUT, Topic.REGISTER, Topic.SET_GAPS),
    *(Topic.GAUGE_CALIBRATION, Topic.ROPES_ALONE, Topic.EQUALISING, Topic.LUBRICATING),
}


def cause(topic, *, place="", on_rope=False):
    return causes.of_finding(
        topic=topic, place=place, on_rope=on_rope, test_failed=False
    )


def test_every_topic_has_a_cause_or_is_known_to_have_none():
    without = BY_PLACE | OF_A_ROPE | OTHERS

    assert set(Topic) == set(causes.OF_TOPIC) | without
    assert not set(causes.OF_TOPIC) & without


@pytest.mark.parametrize("topic", sorted(OF_A_ROPE))
def test_what_is_found_on_a_rope_discards_it(topic):
    assert cause(topic, place="rope 1", on_rope=True) is StopCause.ROPE_DISCARD


@pytest.mark.parametrize("topic", ["of tomorrow", *sorted(OTHERS)])
def test_what_nobody_knows_an_answer_to_is_told_as_such(topic):
    assert cause(topic) is StopCause.OTHER


def test_every_cause_has_its_rule():
    assert set(causes.RULES) == set(StopCause)


def test_every_state_of_planned_work_has_its_word():
    assert set(changing.STATES) == set(PlanState)


def test_every_kind_of_work_has_its_word():
    assert set(kinds.TERMS) >= {str(kind) for kind in OptionKind}
    assert set(kinds.REPORTED_AS) < set(kinds.TERMS)


@pytest.mark.parametrize(
    ("shown_by", "code", "said"),
    [
        (shown.topic, "traction, stalled", "Treibfähigkeit, blockiert"),
        (shown.worn, "counterweight_runby", "Überfahrweg des Gegengewichts"),
        (shown.unknown, "car_mass_kg", "die Masse des leeren Fahrkorbs"),
        (shown.topic, "of_tomorrow", "of_tomorrow"),
        (shown.worn, "of_tomorrow", "of_tomorrow"),
        (shown.unknown, "of_tomorrow", "of_tomorrow"),
    ],
)
def test_pages_name_things_by_their_codes(shown_by, code, said):
    with translation.override("de"):
        assert shown_by(code) == said
