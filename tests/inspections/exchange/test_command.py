"""A heap of readings by hand: first a look, then all or nothing."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inspections.models import Reading, Upload
from tests import callers
from tests.inspections.exchange import bulk

pytestmark = pytest.mark.django_db

HEAP = "machine;visited_on;kind;rope;value [mm]\nMH-1;04.05.2024;rope_diameter;1;12,8\n"
FORM = {"delimiter": "semicolon", "decimal_mark": "comma", "dates": "DD.MM.YYYY"}


@pytest.fixture(autouse=True)
def no_bell(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)


@pytest.fixture
def run(north, tmp_path):
    def run(text, **options):
        path, said, complained = tmp_path / "heap.csv", StringIO(), StringIO()
        path.write_text(text, encoding="utf-8")
        given = {"contractor": "north", "person": "north-office"} | FORM | options
        try:
            call_command(
                "import_readings", path, stdout=said, stderr=complained, **given
            )
        except CommandError as problem:
            return said.getvalue(), f"{complained.getvalue()}{problem}"
        return said.getvalue(), complained.getvalue()

    return run


def test_it_looks_first_then_stores_and_then_finds_everything_stored(north, run):
    looked, stored, again = run(HEAP), run(HEAP, store=True), run(HEAP, store=True)

    assert looked == ("1 rows: 1 stored\nOnly looked; --store stores it.\n", "")
    assert stored == ("1 rows: 1 stored\nStored.\n", "")
    assert again == ("1 rows: 1 already-stored\nAll of it was stored.\n", "")
    callers.confine(north)
    assert Reading.objects.get().value == 12.8
    assert Upload.objects.get().membership_id == north.memberships["OFFICE"].pk


def test_faults_are_told_by_row_and_column_and_nothing_is_stored(north, run):
    bad = HEAP + "MH-1;04.05.2024;rope_diameter;2;12.8\n"

    _, told = run(bad, store=True)

    assert "row 3, column value [mm]: '12.8'" in told
    assert told.endswith("Nothing was stored: mend the rows named above.")
    callers.confine(north)
    assert not Reading.objects.exists()


def test_what_acts_at_once_is_said(run):
    said, _ = run(HEAP.replace("12,8", "9"), store=True)

    assert "row 2, stored: unconfirmed: act as if true, measure again now" in said
    assert "nobody of the office has a mail address" in said


@pytest.mark.parametrize(
    ("options", "why"),
    [
        ({"person": "north-tech"}, "no 'north-tech' in the office"),
        ({"contractor": "south"}, "in the office of contractor 'south'"),
        ({"delimiter": "comma"}, "comma cannot be both"),
        ({"encoding": "utf-16"}, "save the file as UTF-8"),
    ],
)
def test_what_cannot_be_begun_is_said(run, options, why):
    assert why in run(HEAP, **options)[1]


def test_what_goes_out_comes_in_by_hand(north, run, tmp_path):
    run(HEAP, store=True)
    out = bulk.take_out(north.scope()).decode()

    plain = {"delimiter": "comma", "decimal_mark": "point", "dates": "YYYY-MM-DD"}

    assert run(out, store=True, **plain)[0].endswith("All of it was stored.\n")
