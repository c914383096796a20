"""Every kind that can be read is judged: at its worst it is told of, never in order."""

import pytest

from inspections.assessment.assessing import judge
from inspections.kinds import KINDS, PLACE_VALUES, Subject
from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import (
    AS_OF,
    BEFORE,
    TODAY,
    UNDERCUT,
    V,
    found,
    one,
    snapshot,
    take,
    worn,
)

NOMINAL_MM = 13.0
# Kinds that are no criterion by themselves, with what they serve.
SERVES = {
    "trip_counter": "the clock of forecasts",
    "wrap_offset_x": "the wrap, read together with the drop",
    "wrap_drop_h": "the wrap, read together with the offset",
    "underside_runout": "the metal of a rim that was surveyed",
}
# What only some grooves have.
FORMS = {"seat_band_width": V}
WHERE = {Subject.GROOVE: {"groove": 1}, Subject.ROPE: {"rope": 1}}


def place_of(kind):
    found = {key: (PLACE_VALUES[key] or ("5",))[0] for key in kind.place}
    if kind.code == "check":
        found["part"] = "crack"
    return found


def worst_of(kind):
    """Return what of a kind is worst: an unsafe word, or the ends of its band."""
    if kind.is_worded:
        return [{"word": word} for word in kind.unsafe_words or kind.words[-1:]]
    ends = [end for end in (kind.low, kind.high) if end is not None]
    unsafe = [end for end in ends if end.unsafe] or ends
    return [
        {"value": end.value * (NOMINAL_MM if end.per_diameter else 1.0)}
        for end in unsafe
    ]


CASES = [
    pytest.param(kind, given, id=f"{kind.code} {next(iter(given.values()))}")
    for kind in KINDS.values()
    if kind.code not in SERVES
    for given in worst_of(kind)
]


def told_of(kind, given):
    """Return the findings that name the reading, on a sound machine besides."""
    flank = ("left", "right") if "flank" in kind.place else ("",)
    readings = [
        take(
            kind.code,
            **given,
            **WHERE.get(kind.subject, {}),
            **place_of(kind) | ({"flank": side} if side else {}),
        )
        for side in flank
    ]
    of = snapshot(*worn(3.0), *readings, geometry=FORMS.get(kind.code, UNDERCUT))
    own = {reading.pk for reading in of.readings if reading.kind == kind.code}
    own &= {
        reading.pk
        for reading in of.readings
        if given in ({"value": reading.value}, {"word": reading.word})
    }
    drafts, _, _ = judge(of)
    return [draft for draft in drafts if own & set(draft.readings)]


@pytest.mark.parametrize(("kind", "given"), CASES)
def test_what_was_read_is_told_of(kind, given):
    assert told_of(kind, given)


# At the end of their band these are still no worse than usual, or say nothing alone.
_SAY_LITTLE = {
    "rope_diameter_unworn": "too thick only makes the loss greater",
    "rope_crown_height": "no height as new to hold it against",
    "groove_bottom_depth": "the metal of a rim that was surveyed",
    "seat_diameter_difference": "half a millimetre of depth is within the usual",
}


@pytest.mark.parametrize(
    ("kind", "given"), [c for c in CASES if c.values[0].code not in _SAY_LITTLE]
)
def test_at_its_worst_it_is_not_in_order(kind, given):
    grades = {draft.grade for draft in told_of(kind, given)}

    assert grades - {Grade.IN_ORDER}


def test_kinds_that_serve_others_are_kinds():
    assert set(SERVES) | set(_SAY_LITTLE) <= set(KINDS)


# --- the ones that were once read and never judged ------------------------------------
class TestRopes:
    @pytest.mark.parametrize("code", ["EN_81_20", "ASME_A17_6", "GB_T_31821"])
    def test_heavy_rouge_at_any_station_is_watched_where_no_limit_is_printed(
        self, code
    ):
        of = snapshot(
            take("rouge", word="heavy", rope=1, station="top"),
            take("rouge", word="none", rope=1, station="bottom"),
            take("rouge", word="none", rope=1, station="top", on=AS_OF.date()),
            criteria_set=code,
        )

        assert one(of, Topic.ROUGE, "rope 1").grade == Grade.KEEP_AN_EYE_ON

    def test_heavy_rouge_condemns_where_the_set_says_so(self):
        of = snapshot(take("rouge", word="heavy", rope=1), criteria_set="MLIT_283")

        assert one(of, Topic.ROUGE, "rope 1").grade == Grade.ACT_NOW

    def test_a_flat_without_a_limit_is_told_of(self):
        of = snapshot(take("crown_wire_flat", 4.0, rope=1))

        [told] = found(of, Topic.CROWN_FLAT_SEALE, "rope 1")
        assert (told.grade, "EN_81_20" in str(told.reason)) == (
            Grade.NOT_ASSESSED,
            True,
        )

    def test_how_breaks_lie_is_told_of_where_nobody_counted(self):
        lie = take("breaks_distribution", word="predominant", rope=1, window="lay")

        told = found(snapshot(lie), Topic.BROKEN_WIRES)

        assert any(len(draft.readings) == 1 for draft in told)

    @pytest.mark.parametrize("others", [(), (4000.0, 4100.0, 3900.0, 4000.0)])
    def test_a_rope_without_force_is_slack_whatever_was_read_of_the_others(
        self, others
    ):
        read = [
            take("rope_tension", value, rope=n, side="car", car_position="top")
            for n, value in enumerate((0.0, *others), 1)
        ]

        told = found(snapshot(*read), Topic.ROPE_TENSION)

        assert Grade.PLAN_WORK in {draft.grade for draft in told}


class TestGrooves:
    def test_a_slot_read_narrower_later_stays_as_wide(self):
        wide = take("slot_width", 11.0, groove=1, on=BEFORE)
        narrow = take("slot_width", 9.0, groove=1, on=TODAY)

        grades = {
            draft.grade
            for draft in found(
                snapshot(*worn(3.0), wide, narrow), Topic.TRACTION, "groove 1"
            )
        }

        assert Grade.NOT_ASSESSED in grades

    def test_grooves_that_differ_by_wear_are_held_against_the_spread_of_depths(self):
        of = [
            snapshot(
                *worn(3.0), take("seat_diameter_difference", value, groove=2, on=TODAY)
            )
            for value in (0.2, -4.0)
        ]

        small, great = (one(each, Topic.SEAT_DEPTHS, "groove 2") for each in of)
        assert (small.grade, great.grade) == (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON)

    def test_a_seat_that_ran_out_does_not_run_true_by_a_later_word(self):
        of = snapshot(
            take("seat_runout", 0.9, groove=1, on=BEFORE),
            take("seat_runout", 0.1, groove=1, on=TODAY),
        )

        assert one(of, Topic.RUNOUT).grade == Grade.KEEP_AN_EYE_ON


@pytest.mark.parametrize(
    "part", ["spokes", "keyway", "guards", "hub", "bearing", "keeper", "rim bolts"]
)
def test_a_part_with_a_defect_stops_and_a_later_pass_clears_nothing(part):
    of = snapshot(
        take("check", word="defect", part=part, on=BEFORE),
        take("check", word="pass", part=part),
    )

    draft = one(of, Topic.CHECK, part)
    assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
