"""Which readings an assessment may rest on."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections import queries
from inspections.models import Reading, ReadingReview, Visit, VisitMove
from tests import callers, factories

pytestmark = pytest.mark.django_db

GOOD = {"value": "11.8", "unit": "mm"}
UNTIL = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def north(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast()


def usable(cast):
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    found = queries.usable_readings(
        scope=cast.scope(), machine_ids=[machine.pk], until=UNTIL
    )
    return {reading.reference for reading in found}


def review(cast, reference, *, accepted):
    callers.confine(cast)
    ReadingReview.objects.create(
        contractor=cast.contractor,
        reading=Reading.objects.get(reference=reference),
        accepted=accepted,
        membership_id=1,
        why="looked again",
    )


def correct(cast, old, **reading):
    new = {"reference": f"{old}-corrected", "corrects": old, "note": "typed wrongly"}
    answer = callers.upload(cast, factories.upload(GOOD | new | reading))
    assert answer.json()["counts"].keys() <= {"stored", "held"}, answer.content


def test_a_plain_reading_is_used_until_someone_sets_it_aside(north):
    callers.upload(north, factories.upload(GOOD))
    assert usable(north) == {"r-0"}

    review(north, "r-0", accepted=False)

    assert usable(north) == set()


def test_an_unconfirmed_reading_acts_as_if_true(north):
    callers.upload(north, factories.upload(GOOD | {"value": "9"}))

    assert usable(north) == {"r-0"}


def test_a_held_reading_waits_for_someone_to_accept_it(north):
    callers.upload(north, factories.upload(GOOD | {"value": "15"}))
    assert usable(north) == set()

    review(north, "r-0", accepted=True)
    assert usable(north) == {"r-0"}
    review(north, "r-0", accepted=False)
    assert usable(north) == set()


def test_what_counts_is_asked_of_one_table_after_another(north):
    """Fault D29: no join whose size the planner guesses; of new rows it says 1."""
    callers.upload(north, factories.upload(GOOD | {"value": "9"}))
    correct(north, "r-0", value="11.9")
    review(north, "r-0-corrected", accepted=True)

    with CaptureQueriesContext(connection) as asked:
        assert usable(north) == {"r-0-corrected"}

    of_readings = [q["sql"] for q in asked if "inspections_reading" in q["sql"]]
    *before, rows = of_readings
    assert len(before) >= 3
    assert not [sql for sql in before if " JOIN " in sql or sql.count("SELECT") > 1]
    assert rows.count("SELECT") == 1


def test_a_correction_takes_the_old_readings_place(north):
    callers.upload(north, factories.upload(GOOD | {"value": "9"}))

    correct(north, "r-0", value="11.9")

    assert usable(north) == {"r-0-corrected"}


def test_a_held_correction_never_clears_an_unsafe_reading(north):
    # Holding is one-sided: an implausibly good value must not hide a bad one.
    callers.upload(north, factories.upload(GOOD | {"value": "9"}))

    correct(north, "r-0", value="15")

    assert usable(north) == {"r-0"}
    review(north, "r-0-corrected", accepted=True)
    assert usable(north) == {"r-0-corrected"}


def test_a_correction_set_aside_gives_the_old_reading_back(north):
    callers.upload(north, factories.upload(GOOD))
    correct(north, "r-0", value="11.9")

    review(north, "r-0-corrected", accepted=False)

    assert usable(north) == {"r-0"}


def moved(cast, *pairs):
    """Move visits by their numbers; return the visits' ids by number."""
    callers.confine(cast)
    own = {"contractor": cast.contractor, "membership_id": 1}
    machine = factories.machine(cast.scope())
    ids = {
        n: Visit.objects.create(
            **own, machine=machine, reference=f"m-{n}", visited_at=UNTIL
        ).pk
        for n in sorted({n for pair in pairs for n in pair})
    }
    for n, to in pairs:
        VisitMove.objects.create(
            **own,
            from_visit_id=ids[n],
            to_visit_id=ids[to],
            why="another label",
            moved_at=UNTIL,
        )
    return ids


@pytest.mark.parametrize(
    ("pairs", "last"),
    [
        ([(1, 2), (2, 3)], 3),
        # Nobody can make this; a request must end all the same.
        ([(1, 2), (2, 1)], 2),
        ([(1, 3), (3, 2), (2, 1)], 3),
    ],
)
def test_a_visit_is_followed_to_where_it_was_made_and_no_further(north, pairs, last):
    ids = moved(north, *pairs)

    found = queries.visit_where_made(scope=north.scope(), visit_id=ids[1])

    assert found == ids[last]
    assert queries.visit_where_made(scope=north.scope(), visit_id=found) == found
