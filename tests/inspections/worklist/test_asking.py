"""What a finding asks for is read off its code and the terms that it names."""

import pytest

from inspections.kinds import Group, of_group
from inspections.models import Finding, Grade
from inspections.reasons import Code, Term, as_json, because, missing
from inspections.reasons.catalogue import SENTENCES
from inspections.reasons.catalogue.sentence import Holds
from inspections.worklist.asking import BY_TERM, NAMING, kinds

SEAT = of_group(Group.SEAT_DEPTH)
# Looked up, weighed up or entered: nobody reads them at a place of the machine.
NOT_READ = {
    *(Term.RATED_LOAD, Term.RATED_SPEED, Term.TRAVEL, Term.COMPENSATION),
    *(Term.TRAVELLING_CABLE, Term.METHOD_ABOVE_2_TO_1, Term.METHOD_FOR_LINED),
    *(Term.METHOD_FOR_COATED, Term.DRIVE_SHEAVE, Term.GROOVE_FORM, Term.ROPE_SET),
    *(Term.GROOVE_ANGLE, Term.UNDERCUT_ANGLE, Term.WRAP, Term.PITCH_DIAMETER),
    *(Term.PITCH_DIAMETER_OR_ROPE_SET, Term.ROPE_CONSTRUCTION, Term.ROPE_GRADE),
    *(Term.ROPE_STIFFNESS, Term.ROPE_STRENGTH, Term.GROOVE_AS_CUT),
    *(Term.MASSES_AND_GROOVE, Term.GROOVE_OR_MASSES, Term.WIRES_AND_STRANDS),
    *(Term.EQUIVALENT_PULLEYS, Term.ROPE_SPEED, Term.LOADING_CASE),
    *(Term.SECONDARY_SHEAVE, Term.SECONDARY_PLACE, Term.SECONDARY_PLACE_POSSIBLE),
    *(Term.SHEAVE_GROOVES, Term.OUTER_WIRE_WEAR_SEEN, Term.READING),
    *(Term.FRAME_MARK_KEPT, Term.PULLEY_REGISTERED),
    *(Term.WEB_PLACE, Term.DRAFT_UNDERSIDE, Term.BOLT_HOLES, Term.LEAST_METAL),
    *(Term.LEAST_DIAMETER, Term.CRACK_CHECK, Term.TRACTION_AFTER_CUT, Term.MASSES),
}

# What they name is no reading that a finding lacks: limits that a set has no number
# for, kinds of work, and what options, orders and plans say on their own account.
NOT_ASKED = {
    *(Code.SET_GAPS, Code.SET_GAPS_MORE, Code.SEATS_DO_NOT_CLOSE, Code.COST_TIES),
    *(Code.TEST_SINCE_BORROWED, Code.DECIDED_WHEN_KNOWN, Code.NO_ORDER_DAY),
    *(Code.ORDER_LACKS, Code.POSSIBLE_NOT_KNOWN, Code.CAUTION_STOPPED),
    *(Code.WANTED_FIRST, Code.ROPE_PART_MADE, Code.NOT_READ_AS_LEFT),
    *(Code.CHOICE_BLOCKED, Code.CHOICE_IMPOSSIBLE, Code.CHOICE_POINTLESS),
    *(Code.PLAN_NOT_PROVEN, Code.TRIED_BEYOND, Code.BUDGET_STOOD_UNPRICED),
}


def finding(reason, grade=Grade.NOT_ASSESSED):
    return Finding(topic="traction", grade=grade, said=as_json(reason))


def test_every_term_that_can_be_missing_is_read_or_known_not_to_be():
    can_be_missing = list(Term)[: list(Term).index(Term.AT_MOST)]

    assert set(can_be_missing) == set(BY_TERM) | NOT_READ
    assert not set(BY_TERM) & NOT_READ


def test_every_code_that_names_items_asks_for_them_or_is_known_not_to():
    naming = {code for code in Code if Holds.ITEMS in SENTENCES[code].fields.values()}

    assert naming == NAMING | NOT_ASKED
    assert not NAMING & NOT_ASKED


@pytest.mark.parametrize(
    ("reason", "asked"),
    [
        (missing(Term.CAR_MASS, Term.TRAVEL), {"car_mass"}),
        (missing(Term.SEAT_RADIUS), {"seat_gauge_fit"}),
        (because(Code.NO_SEAT_DEPTH), {*SEAT, "rope_diameter"}),
        (because(Code.NOT_SEEN), {"check"}),
        (missing(because(Code.SEAT_AT_BOTTOM_OF, grooves=("1",))), set(SEAT)),
        (
            because(Code.CUT_ANSWER, answer=Term.FITS_STRENGTH_OPEN).with_also(
                because(Code.STILL_MISSING, items=(Term.HARDNESS,))
            ),
            {"hardness"},
        ),
        # One criterion of several, which another reading would settle.
        (
            because(
                Code.CRITERION_OPEN, criterion=Term.LAY, why=missing(Term.ROUGE_OR_NONE)
            ),
            set(),
        ),
        # It is named, and nothing is missing.
        (because(Code.CUT_ANSWER, answer=Term.HARDNESS), set()),
        (because(Code.NOT_CLOSED_AS_NEW), set()),
    ],
)
def test_a_finding_asks_for_what_its_reason_lacks(reason, asked):
    assert kinds(finding(reason)) == asked


def test_a_finding_that_was_judged_asks_for_nothing():
    assert kinds(finding(missing(Term.CAR_MASS), Grade.PLAN_WORK)) == frozenset()


def test_a_reason_of_a_newer_version_asks_for_what_it_names_in_known_codes():
    row = Finding(grade=Grade.NOT_ASSESSED)
    row.said = {
        "code": "of_tomorrow",
        "values": {},
        "also": [as_json(missing(Term.HARDNESS))],
    }

    assert kinds(row) == {"hardness"}


def test_a_finding_without_a_code_asks_for_nothing_until_it_is_judged_anew():
    row = Finding(grade=Grade.NOT_ASSESSED, reason="missing: car mass", said=None)

    assert kinds(row) == frozenset()
