"""The closed list of reading kinds holds together."""

import ast
from functools import cache
from pathlib import Path

from django.utils import translation

from fleet.platform.units import QUANTITIES
from inspections.kinds import KINDS, PLACE_VALUES, BandEnd, Subject
from inspections.models import Reading, StopCause
from inspections.stops import causes
from inspections.worklist import STEPS, reasons
from reports.composition import words
from tests.every_row import of_each

INSPECTIONS = Path(__file__).resolve().parents[2] / "inspections"

EVERY_KIND = of_each("kind", KINDS.values(), ids=lambda kind: kind.code)


def longest(field):
    return Reading._meta.get_field(field).max_length


@EVERY_KIND
def test_a_kind_has_a_quantity_or_words(kind):
    assert bool(kind.quantity) != bool(kind.words)
    assert kind.quantity in ("", *QUANTITIES)
    assert set(kind.unsafe_words) <= set(kind.words)
    assert not (kind.words and (kind.low or kind.high or kind.signed))


@EVERY_KIND
def test_a_kind_fits_its_columns(kind):
    assert len(kind.code) <= longest("kind")
    assert all(len(word) <= longest("word") for word in kind.words)
    if kind.quantity:
        units = QUANTITIES[kind.quantity].units
        assert all(len(unit) <= longest("typed_unit") for unit in units)


@EVERY_KIND
def test_a_kinds_place_is_made_of_known_keys(kind):
    assert set(kind.place) | set(kind.may) <= set(PLACE_VALUES)
    assert not set(kind.place) & set(kind.may)


@EVERY_KIND
def test_a_kinds_band_has_a_low_end_below_its_high_end(kind):
    if kind.low is None or kind.high is None:
        return
    ends = [bound.at(rope_diameter_mm=13.0) for bound in (kind.low, kind.high)]
    assert ends[0] < ends[1]


@EVERY_KIND
def test_a_number_below_nothing_belongs_to_signed_kinds_only(kind):
    if kind.low is not None and kind.low.value < 0:
        assert kind.signed


def test_a_bound_per_diameter_is_not_known_without_the_diameter():
    bound = BandEnd(value=0.85, per_diameter=True)

    assert bound.at(rope_diameter_mm=None) is None
    assert bound.at(rope_diameter_mm=10.0) == 8.5


def test_what_stops_a_machine_is_what_readings_are_taken_for():
    # Slip seen, brake slide, a defect found, a rope at the bottom of its groove or out
    # of shape, a traction test that failed.
    stopping = {
        kind.code
        for kind in KINDS.values()
        if kind.stops or kind.stops_at_or_below is not None
    }

    assert stopping == {
        "slip_seen",
        "brake_slide_seen",
        "check",
        "bottom_clearance",
        "rope_deformation",
        "traction_test",
    }
    assert KINDS["check"].subject is Subject.MACHINE


# --- what rooms above ask of a kind ---------------------------------------------------
@EVERY_KIND
def test_a_kind_is_called_by_a_name_of_its_own(kind):
    assert kind.name
    assert [k for k in KINDS.values() if k.name == kind.name] == [kind]


@EVERY_KIND
def test_a_kind_that_is_asked_for_says_how_it_is_taken_and_where(kind):
    for asked in kind.asked:
        others = [KINDS[code] for code in asked.or_kinds]
        assert asked.step in {step.code for step in STEPS}
        assert asked.days > 0
        assert asked.at
        assert {other.subject for other in others} <= {kind.subject}
        assert all(set(at) <= {*kind.place, *kind.may} for at in asked.at)


def test_every_step_of_the_worklist_is_asked_by_a_kind():
    assert all(step.wanted for step in STEPS)


def test_every_kind_is_asked_for_or_known_not_to_be():
    """A new kind that nobody is sent out to read stands here, with its reason."""
    asked = {
        code
        for kind in KINDS.values()
        for each in kind.asked
        for code in (kind.code, *each.or_kinds)
    }

    assert set(KINDS) - asked == {
        # Told where a criterion needs more than the count of all wires.
        *("breaks_two_worst_strands", "breaks_distribution", "breaks_adjacent"),
        *("breaks_valley", "crown_wire_flat", "lay_length", "rope_diameter_unworn"),
        # Read as left, when a sheave or a set is new, or where something was noticed.
        *("rope_crown_step", "seat_runout", "seat_diameter_difference", "twist"),
        *("spring_length", "wrap_offset_x", "wrap_drop_h"),
        # Read with other things that are asked for.
        *("levelling_error", "travel_speed"),
    }


@EVERY_KIND
def test_a_kind_that_stops_a_machine_has_a_cause_and_what_answers_it(kind):
    stops = kind.stops or kind.stops_at_or_below is not None

    assert stops == (kind.topic is not None)
    if stops:
        part = "crack" if "part" in kind.place else ""
        cause = causes.of_reading(kind=kind.code, part=part)
        assert cause != StopCause.OTHER
        assert kind.code in causes.RULES[cause].reads


@EVERY_KIND
def test_what_a_kind_tells_renews_and_measures_exists(kind):
    assert kind.worn in ("", *reasons.QUANTITIES)
    assert all(words.register_item(name) for name in kind.registers)


@cache
def named_in_rules() -> frozenset[str]:
    """Return the texts in the modules that judge readings or calculate with them."""
    return frozenset(
        node.value
        for room in ("assessment", "inputs", "forecasts")
        for path in (INSPECTIONS / room).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


@EVERY_KIND
def test_a_kind_is_judged(kind):
    # What stops a machine by itself is judged as its topic says.
    assert kind.topic is not None or kind.code in named_in_rules()


def test_a_side_of_a_groove_is_told_by_the_mark_at_groove_1():
    sided = [kind for kind in KINDS.values() if "flank" in (*kind.place, *kind.may)]

    assert sided
    for kind in sided:
        assert "paint mark beside groove 1" in kind.how
        with translation.override("de"):
            assert "Farbmarke neben Rille 1" in translation.gettext(kind.how)
