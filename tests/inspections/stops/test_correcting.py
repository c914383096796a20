"""A correction to the better ends a stop only by whoever read it, there and then."""

from datetime import timedelta

import pytest

from fleet.models import Work
from inspections import queries
from inspections.models import Reading, ReadingReview, StopEventKind, Visit
from inspections.releases import evidence
from tests import callers, factories
from tests.inspections.stops.conftest import NO_SLIP, SLIP, kinds, machine, stops

pytestmark = pytest.mark.django_db

WHY = "ticked the wrong box"


def check(word, part="crack", **more):
    place = {"part": part}
    return {"kind": "check", "rope": None, "value": word, "place": place, **more}


def breaks(number, *, rope=1, **more):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": "lay"},
        **more,
    }


@pytest.fixture
def corrected(north, clock):
    """Send one correction of a reading; by default at its own visit."""

    def send(reading, of, *, role="TECHNICIAN", visit="sv-1"):
        more = {"reference": "fixed", "corrects": of, "note": WHY}
        body = factories.upload(
            reading | more, reference=visit, visited_at="2026-05-04T10:00:00+01:00"
        )
        answer = callers.upload(north, body, role=role)
        assert answer.status_code == 207, answer.content
        callers.confine(north)
        return answer.json()

    return send


def used(cast):
    rows = queries.usable_readings(
        scope=cast.scope(), machine_ids=[machine(cast).pk], until=factories.NOW
    )
    return set(rows.values_list("reference", flat=True))


@pytest.mark.parametrize(
    ("seen", "good"), [(SLIP, NO_SLIP), (check("defect"), check("pass"))]
)
def test_whoever_read_it_corrects_it_at_the_same_visit(
    north, read, corrected, seen, good
):
    read(seen)

    corrected(good, "s-1-0")

    [stop] = stops(north)
    assert (stop.release, stop.release_why) == ("CORRECTED", WHY)
    assert stop.released_by == north.memberships["TECHNICIAN"].pk
    assert kinds(stop)[-1] == StopEventKind.RELEASED
    assert used(north) == {"fixed"}


@pytest.mark.parametrize(
    "how", [{"role": "OFFICE"}, {"visit": "sv-9"}, {"role": "OFFICE", "visit": "sv-9"}]
)
def test_another_person_or_visit_corrects_nothing_to_the_better(
    north, read, corrected, how
):
    read(SLIP)

    corrected(NO_SLIP, "s-1-0", **how)

    assert [each.is_open for each in stops(north)] == [True]
    assert used(north) == {"fixed", "s-1-0"}


def test_who_corrects_has_not_looked_again(north, read, corrected):
    read(SLIP)
    corrected(NO_SLIP, "s-1-0", role="OFFICE", visit="sv-9")

    [stop] = stops(north)
    before = stop.since - timedelta(days=1)
    usable = queries.usable_readings(
        scope=north.scope(), machine_ids=[machine(north).pk], until=factories.NOW
    )
    # It is usable, good and later than that: not enough.
    [said] = usable.exclude(corrects=None)
    assert evidence.is_good(said)
    assert said.taken_at > before
    looked = evidence.good_since(
        scope=north.scope(), stop=stop, after=before, now=factories.NOW
    )
    assert list(looked) == []


def test_another_place_corrects_nothing(north, read, corrected):
    read(check("defect"))

    corrected(check("pass", part="hub"), "s-1-0")

    assert [each.is_open for each in stops(north)] == [True]
    assert used(north) == {"fixed", "s-1-0"}


@pytest.mark.parametrize("word", ["not seen", "yes"])
def test_what_is_no_better_ends_nothing(north, read, corrected, word):
    read(SLIP)

    corrected({**NO_SLIP, "value": word}, "s-1-0")

    assert [each.is_open for each in stops(north)] == [True]


def test_a_stop_that_others_have_raised_too_stays(north, read, corrected):
    read(SLIP)
    read(SLIP, at="2026-05-04T11:00:00+01:00")

    corrected(NO_SLIP, "s-1-0")

    assert [each.is_open for each in stops(north)] == [True]


def test_what_was_worked_out_is_refuted_and_not_corrected_away(
    north, read, corrected, assess
):
    read(breaks(60))
    assess()

    corrected(breaks(59), "s-1-0")
    assess()

    assert [each.is_open for each in stops(north)] == [True]


THICK, THIN = ({"value": each, "unit": "mm"} for each in ("12.9", "11.9"))


def diameters(cast):
    rows = queries.usable_readings(
        scope=cast.scope(), machine_ids=[machine(cast).pk], until=factories.NOW
    )
    return sorted(rows.values_list("typed_value", flat=True))


RUNOUT = {"kind": "underside_runout", "rope": None, "unit": "mm"}


def test_nobody_elses_numbers_better_a_run_out(north, read):
    read(RUNOUT | {"value": "3.0"})

    for name in ("o-1", "o-2"):
        body = factories.upload(
            RUNOUT | {"value": "0.2", "reference": name},
            reference="sv-1",
            visited_at="2026-05-04T10:00:00+01:00",
        )
        callers.upload(north, body, role="OFFICE")
        callers.confine(north)

    assert diameters(north) == ["3.0"]


def test_nobody_else_lowers_the_crown_that_later_ones_are_counted_from(north, read):
    crown = {
        "kind": "rope_crown_height",
        "rope": None,
        "groove": 1,
        "unit": "mm",
        "place": {"mark": "A"},
    }
    read(crown | {"value": "3.0"})
    body = factories.upload(
        crown | {"value": "2.0", "reference": "o-1"},
        reference="sv-1",
        visited_at="2026-05-04T10:00:00+01:00",
    )
    callers.upload(north, body, role="OFFICE")
    callers.confine(north)
    assert diameters(north) == ["2.0"]

    cut = Work.objects.create(
        contractor_id=north.contractor.pk,
        machine=machine(north),
        kind="REGROOVING",
        done_on="2026-05-04",
    )
    Visit.objects.filter(reference="sv-1").update(kind="AS_LEFT", work=cut)

    assert diameters(north) == ["3.0"]


@pytest.mark.parametrize("says_so", [True, False], ids=["corrected", "added"])
def test_anothers_number_of_the_same_visit_betters_none(north, read, clock, says_so):
    read(THIN)

    for name in ("fixed-1", "fixed-2"):
        more = {"corrects": "s-1-0", "note": WHY} if says_so else {}
        body = factories.upload(
            THICK | {"reference": name} | more,
            reference="sv-1",
            visited_at="2026-05-04T10:00:00+01:00",
        )
        answer = callers.upload(north, body, role="OFFICE")
        assert answer.status_code == 207, answer.content
        callers.confine(north)

    assert diameters(north) == ["11.9"]


def test_anothers_number_that_is_worse_counts_and_the_better_no_more(
    north, read, corrected
):
    read(THICK)

    corrected(THIN, "s-1-0", role="OFFICE")

    assert diameters(north) == ["11.9"]


def test_the_first_number_counts_no_more_once_its_reader_corrects_it(
    north, read, corrected
):
    read(THIN)

    corrected(THICK, "s-1-0")

    assert diameters(north) == ["12.9"]


def test_what_was_read_twice_by_one_person_is_one_visits_and_both_count(north, read):
    read(THIN, THICK)

    assert diameters(north) == ["11.9", "12.9"]


def test_another_rope_place_or_visit_of_another_person_is_another_matter(north, read):
    read(THIN, THICK | {"rope": 2})
    read(THICK, role="OFFICE", at="2026-05-05T10:00:00+01:00")

    assert diameters(north) == ["11.9", "12.9", "12.9"]


# --- what somebody else has confirmed -------------------------------------------------

SLACK = {"value": "7.0", "unit": "mm"}


def confirm(cast, reference, role="OFFICE"):
    pk = Reading.objects.get(reference=reference).pk
    path = f"/api/v1/readings/{pk}/review"
    body = {"accepted": True, "why": "I measured it too"}
    answer = callers.call(cast, "POST", path, body, role=role)
    assert answer.status_code in (200, 201), answer.content
    callers.confine(cast)


def test_nobody_alone_takes_away_what_another_has_confirmed(north, read, corrected):
    read(SLACK)
    confirm(north, "s-1-0")

    corrected(THICK, "s-1-0")

    assert diameters(north) == ["7.0"]


def test_nor_by_correcting_the_own_correction_of_it(north, read, corrected):
    read(SLACK)
    confirm(north, "s-1-0")
    corrected(THICK, "s-1-0")

    body = factories.upload(
        THICK | {"reference": "again", "corrects": "fixed", "note": WHY},
        reference="sv-1",
        visited_at="2026-05-04T10:00:00+01:00",
    )
    callers.upload(north, body)
    callers.confine(north)

    assert diameters(north) == ["7.0"]


def test_what_was_confirmed_is_corrected_to_the_worse(north, read, corrected):
    read(SLACK)
    confirm(north, "s-1-0")

    corrected(SLACK | {"value": "6.5"}, "s-1-0")

    assert diameters(north) == ["6.5"]


def test_a_correction_counts_once_what_was_confirmed_is_set_aside(
    north, read, corrected
):
    read(SLACK)
    confirm(north, "s-1-0")
    corrected(THICK, "s-1-0")
    pk = Reading.objects.get(reference="s-1-0").pk

    body = {"accepted": False, "why": "the gauge was not closed"}
    callers.call(north, "POST", f"/api/v1/readings/{pk}/review", body)
    callers.confine(north)

    assert diameters(north) == ["12.9"]


def test_who_read_it_has_not_confirmed_it(north, read, corrected):
    read(SLACK)
    ReadingReview.objects.create(
        contractor_id=north.contractor.pk,
        reading=Reading.objects.get(reference="s-1-0"),
        accepted=True,
        membership_id=north.memberships["TECHNICIAN"].pk,
        why="measured again",
    )

    corrected(THICK, "s-1-0")

    assert diameters(north) == ["12.9"]
