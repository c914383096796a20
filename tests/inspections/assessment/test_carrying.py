"""What was open stays open until a reading that nobody doubts says otherwise."""

from inspections.assessment.carrying import Earlier, carried_over
from inspections.assessment.draft import Draft
from inspections.models import Grade
from inspections.reasons import Criterion, Term, Topic, missing, note

FOUND = note("was found")


def draft(grade, *, place="groove 1", unconfirmed=False, reason=FOUND):
    return Draft(
        topic=Topic.BOTTOM_CLEARANCE,
        place=place,
        grade=grade,
        rule=Criterion.BOTTOM_CLEARANCE_LEAST,
        reason=reason,
        unconfirmed=unconfirmed,
    )


def after(now, old):
    return carried_over([now], [Earlier(draft=old, found_on="2026-05-01")])


def test_doubted_reading_does_not_clear_an_open_finding():
    found = after(draft(Grade.IN_ORDER, unconfirmed=True), draft(Grade.ACT_NOW))

    assert [d.grade for d in found] == [Grade.IN_ORDER, Grade.ACT_NOW]
    assert str(found[1].reason).startswith("was found; carried over from 2026-05-01")


def test_sure_reading_clears_it():
    found = after(draft(Grade.IN_ORDER), draft(Grade.ACT_NOW))

    assert [d.grade for d in found] == [Grade.IN_ORDER]


def test_finding_as_urgent_takes_its_place():
    found = after(draft(Grade.ACT_NOW, unconfirmed=True), draft(Grade.PLAN_WORK))

    assert [d.grade for d in found] == [Grade.ACT_NOW]


def test_milder_one_does_not():
    found = after(draft(Grade.PLAN_WORK, unconfirmed=True), draft(Grade.ACT_NOW))

    assert [d.grade for d in found] == [Grade.PLAN_WORK, Grade.ACT_NOW]


def test_doubt_that_keeps_anything_from_being_assessed_clears_nothing():
    blind = Draft(
        topic=Topic.BOTTOM_CLEARANCE,
        place="groove 1",
        grade=Grade.NOT_ASSESSED,
        reason=missing(Term.SEAT_DEPTH),
        unconfirmed=True,
    )

    found = carried_over(
        [blind], [Earlier(draft=draft(Grade.ACT_NOW), found_on="2026-05-01")]
    )

    assert [d.grade for d in found] == [Grade.NOT_ASSESSED, Grade.ACT_NOW]


def test_another_place_is_another_matter():
    found = after(
        draft(Grade.IN_ORDER, place="groove 2", unconfirmed=True), draft(Grade.ACT_NOW)
    )

    assert [d.grade for d in found] == [Grade.IN_ORDER]


def test_what_was_only_worth_an_eye_is_not_carried():
    found = after(draft(Grade.IN_ORDER, unconfirmed=True), draft(Grade.KEEP_AN_EYE_ON))

    assert [d.grade for d in found] == [Grade.IN_ORDER]
