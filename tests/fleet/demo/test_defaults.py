"""The demo's environment and folder."""

import os
import stat
from pathlib import Path

import pytest

from fleet.demo import defaults


@pytest.fixture
def caller(monkeypatch, tmp_path):
    """A caller's environment with nothing of ours in it; restored afterwards."""
    kept = dict(os.environ)
    for name in (*defaults.REAL_SERVICES, "EMBEDDED_DATABASE_DIRECTORY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("sys.argv", ["manage.py", "demo"])
    monkeypatch.setenv("DEMO_DIRECTORY", str(tmp_path / "demo"))
    yield tmp_path / "demo"
    os.environ.clear()
    os.environ.update(kept)


@pytest.mark.parametrize(
    "name",
    [
        "DATABASE_URL",
        "DATABASE_URL_FILE",
        "DATABASE_OWNER_URL",
        "CELERY_BROKER_URL",
        "CELERY_BROKER_URL_FILE",
    ],
)
def test_refuses_when_a_real_service_is_named(caller, monkeypatch, name):
    monkeypatch.setenv(name, "postgresql://secret@office/ropeseat")

    with pytest.raises(SystemExit) as stopped:
        defaults.prepare()

    said = str(stopped.value)
    assert name.removesuffix("_FILE") in said
    assert "never touches a real database" in said
    assert "secret" not in said
    assert not caller.exists()


def test_environment_names_only_what_is_in_the_folder(caller):
    defaults.prepare()

    assert os.environ["EMBEDDED_DATABASE_DIRECTORY"] == str(caller / "database")
    assert os.environ["MEDIA_ROOT"] == str(caller / "media")
    assert os.environ["ALLOWED_HOSTS"] == "localhost,127.0.0.1"
    assert "DATABASE_URL" not in os.environ


def test_another_project_and_an_office_in_the_environment_are_left_out(
    caller, monkeypatch
):
    monkeypatch.setenv("DJANGO_SETTINGS_MODULE", "other.settings")
    monkeypatch.setenv("EMBEDDED_DATABASE_DIRECTORY", "/srv/office")
    monkeypatch.setenv("SECRET_KEY", "the office's")
    monkeypatch.setenv("PGSERVICE", "office")

    defaults.prepare()

    assert os.environ["DJANGO_SETTINGS_MODULE"] == "fleet.project.settings"
    assert os.environ["EMBEDDED_DATABASE_DIRECTORY"] == str(caller / "database")
    assert os.environ["SECRET_KEY"] != "the office's"
    assert "PGSERVICE" not in os.environ


def test_secret_key_is_made_once_and_is_closed_to_others(caller):
    defaults.prepare()
    first = os.environ["SECRET_KEY"]

    defaults.prepare()

    assert os.environ["SECRET_KEY"] == first
    assert len(first) >= 50
    assert stat.S_IMODE((caller / "secret-key").stat().st_mode) == 0o600


@pytest.mark.parametrize("spoil", ["empty", "open"])
def test_secret_key_that_was_cut_off_or_opened_is_made_anew(caller, spoil):
    defaults.prepare()
    first, path = os.environ["SECRET_KEY"], caller / "secret-key"
    if spoil == "empty":
        path.write_text("")
    else:
        path.chmod(0o644)

    defaults.prepare()

    assert os.environ["SECRET_KEY"] not in ("", first)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_folder_lets_nobody_look_in(caller):
    defaults.prepare()

    others = stat.S_IMODE(caller.stat().st_mode) & (stat.S_IROTH | stat.S_IWOTH)
    assert others == 0


def test_folder_of_something_else_is_refused(caller):
    caller.mkdir()
    (caller / "thesis.txt").write_text("mine")

    with pytest.raises(SystemExit, match="holds other things"):
        defaults.prepare()

    assert [path.name for path in caller.iterdir()] == ["thesis.txt"]


def test_help_makes_no_folder(caller, monkeypatch):
    monkeypatch.setattr("sys.argv", ["manage.py", "demo", "--help"])

    defaults.prepare()

    assert not caller.exists()


def test_usual_folder_is_beside_the_database(caller, monkeypatch):
    monkeypatch.delenv("DEMO_DIRECTORY")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)

    folder = defaults.state_folder()

    assert folder == defaults.PROJECT_ROOT / ".ropeseat" / "demo"


def test_usual_folder_of_root_is_outside_the_clone(caller, monkeypatch):
    monkeypatch.delenv("DEMO_DIRECTORY")
    monkeypatch.setattr(os, "geteuid", lambda: 0)

    folder = defaults.state_folder()

    assert folder.name.endswith("-demo")
    assert Path(defaults.PROJECT_ROOT) not in folder.parents
