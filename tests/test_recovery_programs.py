"""The shell programs that keep the log and the files, sealed, and open them again."""

import subprocess
from pathlib import Path

import pytest

from tests.services import programs

PROGRAMS = Path(__file__).resolve().parents[1] / ".docker" / "recovery"
SEGMENT = b"a piece of the log" * 1000
ENDS_RECOVERY, STOPS_RECOVERY = 1, 200


@pytest.fixture
def archive(tmp_path):
    programs.program("age")
    folder = tmp_path / "archive"
    folder.mkdir()
    made = ["age-keygen", "-o", tmp_path / "identity.txt"]
    subprocess.run(made, check=True, capture_output=True)
    shown = ["age-keygen", "-y", tmp_path / "identity.txt"]
    public = subprocess.run(shown, check=True, capture_output=True)
    (folder / "recipients.txt").write_bytes(public.stdout)
    return folder


@pytest.fixture
def segment(tmp_path):
    path = tmp_path / "segment"
    path.write_bytes(SEGMENT)
    return path


def run(program, *arguments):
    command = ["bash", PROGRAMS / program, *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def fetch(archive, name, *, to):
    return run("fetch-wal", archive, archive.parent / "identity.txt", name, to)


def test_a_piece_of_the_log_comes_back_as_it_was_and_nothing_of_it_can_be_read(
    archive, segment, tmp_path
):
    assert run("keep-wal", archive, segment, "0001").returncode == 0

    assert fetch(archive, "0001", to=tmp_path / "back").returncode == 0
    assert (tmp_path / "back").read_bytes() == SEGMENT
    assert b"piece" not in (archive / "wal" / "0001.age").read_bytes()
    assert [path.name for path in (archive / "wal").iterdir()] == ["0001.age"]


def test_the_same_again_is_well_and_another_file_of_that_name_is_refused(
    archive, segment
):
    run("keep-wal", archive, segment, "0001")
    kept = (archive / "wal" / "0001.age").read_bytes()

    again = run("keep-wal", archive, segment, "0001")
    segment.write_bytes(b"of another server")
    other = run("keep-wal", archive, segment, "0001")

    assert (again.returncode, other.returncode) == (0, 1)
    assert "another server" in other.stderr
    assert (archive / "wal" / "0001.age").read_bytes() == kept


def test_without_somebody_to_seal_for_the_server_keeps_its_own_copy(archive, segment):
    (archive / "recipients.txt").unlink()

    assert run("keep-wal", archive, segment, "0001").returncode != 0
    assert not (archive / "wal" / "0001.age").exists()


# Fault 72.
def test_the_end_of_the_log_is_told_from_a_piece_that_cannot_be_opened(
    archive, segment, tmp_path
):
    run("keep-wal", archive, segment, "0001")
    kept = archive / "wal" / "0001.age"
    whole = kept.read_bytes()

    assert fetch(archive, "0002", to=tmp_path / "b").returncode == ENDS_RECOVERY
    for odd in (whole[:-1], whole[:200], b"", whole[:-20] + b"x" * 20):
        kept.write_bytes(odd)
        assert fetch(archive, "0001", to=tmp_path / "b").returncode == STOPS_RECOVERY
        assert not (tmp_path / "b").exists()


def test_files_are_kept_once_and_come_back_where_they_are_missing(archive, tmp_path):
    media = tmp_path / "media"
    for name in ("reports/a b.pdf", "photos/1", "exports/all.zip", "photos/.part-9"):
        path = media / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(name.encode())

    first, second = (run("keep-files", archive, media).stdout for _ in range(2))
    (media / "photos/1").unlink()
    identity = tmp_path / "identity.txt"
    back = run("fetch-files", archive, identity, media).stdout
    new = run("fetch-files", archive, identity, tmp_path / "new").stdout

    assert (first, second, back, new) == ("2\n", "0\n", "1\n", "2\n")
    assert (media / "photos/1").read_bytes() == b"photos/1"
    assert (tmp_path / "new/reports/a b.pdf").read_bytes() == b"reports/a b.pdf"
    assert not (tmp_path / "new/exports").exists()
