import pytest
from django.core.management import CommandError, call_command

from tests.fleet.embedded.conftest import reachable_folder

pytestmark = pytest.mark.processes


@pytest.fixture
def folder():
    with reachable_folder() as found:
        yield found


def test_starts_looks_and_stops(folder, monkeypatch, capsys):
    monkeypatch.setenv("EMBEDDED_DATABASE_DIRECTORY", str(folder / "server"))

    with pytest.raises(CommandError, match="does not answer"):
        call_command("embedded", "status")
    for action in ("start", "start", "status", "stop", "stop"):
        call_command("embedded", action)

    where = f"({folder / 'server'})"
    assert capsys.readouterr().out.splitlines() == [
        f"Started. {where}",
        f"It was running already. {where}",
        f"It answers. {where}",
        f"Stopped. {where}",
        f"It was not running. {where}",
    ]


def test_problem_is_told_without_a_trace(folder, monkeypatch):
    monkeypatch.setenv("EMBEDDED_DATABASE_DIRECTORY", str(folder / "server"))
    monkeypatch.setenv("EMBEDDED_DATABASE_BINARIES", str(folder))

    with pytest.raises(CommandError, match="EMBEDDED_DATABASE_BINARIES"):
        call_command("embedded", "start")
