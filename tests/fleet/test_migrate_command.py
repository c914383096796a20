"""Migrations run as the owner, or not at all."""

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.core.management.commands import migrate as of_django
from django.db import OperationalError

from fleet.management.commands import migrate


def test_migrate_without_the_owner_is_refused():
    with pytest.raises(CommandError, match="--database owner"):
        call_command("migrate")


@pytest.fixture
def ends(monkeypatch):
    """Have Django's own command end with these faults, one after the other."""
    left, paused = [], []

    def handle(self, *args, **options):
        fault = left.pop(0)
        if fault is not None:
            raise OperationalError("ended") from fault

    monkeypatch.setattr(of_django.Command, "handle", handle)
    monkeypatch.setattr(of_django.Command, "check", lambda *_, **__: None)
    monkeypatch.setattr("time.sleep", paused.append)

    def run(*faults):
        left[:] = faults
        call_command("migrate", database="owner")
        return len(left), len(paused)

    return run


def test_fault_79_whoever_is_ended_by_a_deadlock_with_requests_tries_again(ends):
    deadlock = psycopg.errors.DeadlockDetected("deadlock detected")

    assert ends(deadlock, deadlock, None) == (0, 2)


def test_it_does_not_try_for_ever_nor_at_other_faults(ends):
    deadlock = psycopg.errors.DeadlockDetected("deadlock detected")
    with pytest.raises(OperationalError):
        ends(*[deadlock] * migrate.TRIES)
    with pytest.raises(OperationalError):
        ends(psycopg.errors.AdminShutdown("going"), None)
