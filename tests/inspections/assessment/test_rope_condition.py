"""What is read on a rope by eye, finger and calliper: worse never looks better."""

import pytest

from inspections.assessment.grading import URGENCY
from inspections.models import Grade
from inspections.reasons import Topic
from inspections.stops import causes
from tests.inspections.assessment.snapshots import (
    BEFORE,
    diameters,
    found,
    one,
    snapshot,
    take,
)


def worst(of, topic, place="rope 1"):
    """Return the worst grade of a topic; -1 where it is not told or not assessed."""
    grades = [each.grade for each in found(of, topic, place)]
    return max((URGENCY.index(g) for g in grades if g in URGENCY), default=-1)


class TestShape:
    def test_a_birdcage_condemns_the_rope_and_stops(self):
        of = snapshot(take("rope_deformation", word="seen", rope=1))

        draft = one(of, Topic.SHAPE)
        assert (draft.grade, draft.stops_service) == (Grade.ACT_NOW, True)
        assert draft.place == "rope 1"
        cause = causes.of_finding(
            topic=draft.topic, place=draft.place, on_rope=True, test_failed=False
        )
        assert causes.of_reading(kind="rope_deformation", part="") == cause

    def test_a_later_look_that_saw_none_clears_nothing(self):
        of = snapshot(
            take("rope_deformation", word="seen", rope=1, on=BEFORE),
            take("rope_deformation", word="none", rope=1),
        )

        assert one(of, Topic.SHAPE).grade == Grade.ACT_NOW

    def test_none_seen_is_in_order_and_unread_is_not_told(self):
        of = snapshot(take("rope_deformation", word="none", rope=1))

        assert one(of, Topic.SHAPE).grade == Grade.IN_ORDER
        assert found(snapshot(), Topic.SHAPE) == []


class TestWires:
    def breaks(self, total, *more, set_code="ASME_A17_1"):
        read = take("breaks_total", total, rope=1, window="lay")
        return snapshot(read, *more, criteria_set=set_code)

    def test_worn_wires_are_watched_and_make_the_limits_stricter(self):
        seen = take("wires_worn_or_rusted", word="seen", rope=1)
        sound = take("wires_worn_or_rusted", word="none", rope=1)

        grades = []
        for total in range(0, 60, 3):
            worn, kept = (self.breaks(total, each) for each in (seen, sound))
            assert one(worn, Topic.WORN_OR_RUSTED).grade == Grade.KEEP_AN_EYE_ON
            pair = worst(worn, "broken wires"), worst(kept, "broken wires")
            assert pair[0] >= pair[1]
            grades.append(pair)
        assert any(one_ > other for one_, other in grades)

    @pytest.mark.parametrize("code", ["EN_81_20", "TSG_T7001", "MLIT_283"])
    def test_breaks_that_predominate_are_never_better_than_even_ones(self, code):
        for total in range(0, 60, 4):
            even, predominant = (
                take("breaks_distribution", word=word, rope=1, window="lay")
                for word in ("even", "predominant")
            )
            good, bad = (
                self.breaks(total, each, set_code=code) for each in (even, predominant)
            )
            assert worst(bad, "broken wires") >= worst(good, "broken wires")

    def test_a_distribution_alone_is_no_count(self):
        of = snapshot(
            take("breaks_distribution", word="even", rope=1, window="lay"),
        )

        assert "no count" in str(one(of, "broken wires", "rope 1, 2, 3, 4, 5").reason)

    @pytest.mark.parametrize("code", ["EN_81_20", "TSG_T7001", "ASME_A17_1"])
    def test_more_in_two_strands_is_never_better(self, code):
        before = -1
        for number in range(0, 30):
            more = take("breaks_two_worst_strands", number, rope=1, window="lay")
            grade = worst(self.breaks(18, more, set_code=code), "broken wires")
            assert grade >= before
            before = grade
        assert before == URGENCY.index(Grade.ACT_NOW)


class TestUnworn:
    def test_a_thicker_unworn_part_shows_more_loss(self):
        read = diameters(12.0)
        grades = [
            worst(
                snapshot(
                    *read,
                    take("rope_diameter_unworn", unworn, rope=1),
                    criteria_set="MLIT_283",
                ),
                "rope diameter",
            )
            for unworn in (12.6, 13.0, 13.2, 13.4, 13.6, 14.0)
        ]

        assert grades == sorted(grades)
        assert grades[0] < grades[-1] == URGENCY.index(Grade.ACT_NOW)

    def test_without_it_the_criterion_is_open_and_with_it_decided(self):
        read = diameters(12.2)
        with_it = take("rope_diameter_unworn", 13.0, rope=1)

        known = found(
            snapshot(*read, with_it, criteria_set="MLIT_283"), "rope diameter"
        )
        assert [d.grade for d in known if d.place == "rope 1"] != []
        assert all(d.grade != Grade.NOT_ASSESSED for d in known if d.place == "rope 1")


class TestSeenByFinger:
    def test_dry_and_wet_are_watched_and_a_smudge_is_right(self):
        def grade(word, topic):
            return one(snapshot(take("lubrication", word=word, rope=1)), topic).grade

        assert grade("dry", Topic.DRYNESS) == Grade.KEEP_AN_EYE_ON
        assert grade("wet", Topic.WETNESS) == Grade.KEEP_AN_EYE_ON
        right = snapshot(take("lubrication", word="smudge", rope=1))
        assert found(right, Topic.DRYNESS) == found(right, Topic.WETNESS) == []

    def test_twist_once_seen_is_watched(self):
        of = snapshot(
            take("twist", word="seen", rope=1, on=BEFORE),
            take("twist", word="none", rope=1),
        )

        assert one(of, Topic.TWIST).grade == Grade.KEEP_AN_EYE_ON

    def test_the_worst_station_of_rouge_counts(self):
        of = snapshot(
            take("rouge", word="heavy", rope=1, station="1"),
            take("rouge", word="none", rope=1, station="2"),
            take("breaks_total", 2, rope=1, window="lay"),
        )

        drafts = found(of, "broken wires", "rope 1")
        assert drafts
        assert {d.detail["observations"][0]["rouge"] for d in drafts} == {2}


@pytest.mark.parametrize("part", ["spokes", "keyway", "guards"])
def test_a_part_with_a_defect_stops_and_not_seen_is_no_pass(part):
    bad = one(snapshot(take("check", word="defect", part=part)), "check", part)
    unseen = one(snapshot(take("check", word="not seen", part=part)), "check", part)

    assert (bad.grade, bad.stops_service) == (Grade.ACT_NOW, True)
    assert unseen.grade == Grade.NOT_ASSESSED
