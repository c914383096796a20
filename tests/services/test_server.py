"""The schema and both rings on a PostgreSQL server as a distribution installs it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from fleet.platform.database import roles

pytestmark = [pytest.mark.services, pytest.mark.long]

ROOT = Path(__file__).resolve().parents[2]
RINGS = (
    "tests/fleet/platform/database/test_row_security.py",
    "tests/fleet/platform/database/test_tenancy.py",
)


def test_rows_are_kept_apart_on_a_server_too(server):
    # Faults 34 to 37: the tests of the rings again, in a session of their own that
    # makes its tables on the server.
    named = {
        "ROPESEAT_TEST_DATABASE_URL": server.url(roles.APP),
        "ROPESEAT_TEST_DATABASE_OWNER_URL": server.url(roles.OWNER),
        "ROPESEAT_TEST_BROKER_URL": server.url(roles.QUEUE, scheme="pgmq"),
    }
    kept = {
        name: value
        for name, value in os.environ.items()
        if name in ("PATH", "HOME", "LANG", "TMPDIR")
    }

    ended = subprocess.run(
        [*(sys.executable, "-m", "pytest", "-q", "-n", "0"), *RINGS],
        cwd=ROOT,
        env=kept | named,
        capture_output=True,
        text=True,
        check=False,
    )

    assert ended.returncode == 0, ended.stdout[-4000:]
    assert " passed" in ended.stdout
    assert "skipped" not in ended.stdout


def test_server_is_of_a_version_that_is_supported(server):
    with server.connect() as administrator:
        assert 15 <= administrator.info.server_version // 10_000 <= 18


def test_no_role_of_ours_bypasses_a_row(server):
    with server.connect() as administrator:
        rights = administrator.execute(
            "SELECT rolname FROM pg_roles WHERE rolname LIKE 'ropeseat%' "
            "AND (rolsuper OR rolbypassrls OR rolcreaterole OR rolreplication)"
        ).fetchall()

    assert rights == []
