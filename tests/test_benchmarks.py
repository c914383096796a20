"""What benchmarks count and compare is right; none of them is timed here."""

import json
import subprocess
import sys

import pytest
from django.db import connection

from tests.benchmarks import forecast_database, kernel_pairs
from tests.benchmarks.register import plans


def test_a_clone_without_the_commit_says_that_there_is_no_history():
    assert kernel_pairs.measure(since="0" * 40) == {"kernel_speedup": "no history"}


def test_a_plan_tells_the_rows_it_looked_at_and_not_only_those_it_gave():
    inner = {
        "Node Type": "Seq Scan",
        "Relation Name": "fleet_rope",
        "Actual Rows": 2,
        "Rows Removed by Filter": 598,
        "Actual Loops": 3,
    }
    outer = {"Node Type": "Nested Loop", "Plans": [inner], "Actual Rows": 6}

    assert list(plans.scans(outer)) == [("fleet_rope", 1800)]


@pytest.mark.long
def test_no_request_for_one_machine_reads_a_whole_contractor():
    """Plans change with what is counted, so both are explained: young and old tables.

    A process and a server of its own: 400 machines of six ropes, one of them asked for.
    """
    told = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.register", "--quick", "--json"],
        check=True,
        capture_output=True,
        text=True,
    )
    figures = json.loads(told.stdout)

    assert figures["lost"] == 0
    assert figures["statements_explained"] > 50
    assert figures["rows"] > 10 * plans.MOST
    assert figures["reading_whole_when_young"] == []
    assert figures["reading_whole_when_old"] == []


@pytest.mark.django_db
def test_forecasts_are_taken_away_with_all_that_names_them():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT DISTINCT conrelid::regclass::text, attname FROM pg_constraint"
            " JOIN pg_attribute ON attrelid = conrelid AND attnum = ANY (conkey)"
            " WHERE contype = 'f' AND confrelid = 'inspections_forecast'::regclass"
            " AND attname <> 'contractor_id'"
        )
        found = sorted(cursor.fetchall())

    assert found == sorted(forecast_database.REFERRING)
