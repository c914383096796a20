import os
from pathlib import Path

import psycopg
import pytest

from fleet import embedded
from fleet.embedded import places

ORDINARY_UID = 1000


@pytest.fixture
def ordinary(monkeypatch):
    monkeypatch.setattr(os, "geteuid", lambda: ORDINARY_UID)


@pytest.fixture
def root(monkeypatch):
    monkeypatch.setattr(os, "geteuid", lambda: 0)


def test_ordinary_user_keeps_the_database_in_the_project(ordinary, tmp_path):
    assert (
        embedded.default_directory(project_root=tmp_path)
        == tmp_path.resolve() / ".ropeseat" / "database"
    )


def test_root_keeps_it_outside_and_apart_for_each_copy(root, tmp_path, monkeypatch):
    monkeypatch.setattr(places, "ROOT_FOLDERS", (tmp_path / "lib",))

    one = embedded.default_directory(project_root=Path("/root/one/clone"))
    other = embedded.default_directory(project_root=Path("/root/other/clone"))

    assert one.parent == other.parent == tmp_path / "lib"
    assert one != other
    assert one == embedded.default_directory(project_root=Path("/root/one/clone"))


def test_root_falls_back_when_the_usual_folder_cannot_be_written(
    root, tmp_path, monkeypatch
):
    usual, second = tmp_path / "absent" / "lib", tmp_path / "second"
    monkeypatch.setattr(places, "ROOT_FOLDERS", (usual, second))

    assert places.root_folder() == second


@pytest.mark.parametrize("length", [60, 85, 86, 87, 88, 120, 4000])
def test_socket_path_always_fits_its_address(ordinary, length):
    directory = Path("/" + "x" * length)

    folder = places.socket_directory(directory)

    assert len(os.fsencode(folder / places.SOCKET_NAME)) <= 99
    assert folder == places.socket_directory(directory)


def test_socket_path_is_measured_in_bytes(ordinary):
    assert places.socket_directory(Path("/" + "ö" * 50)).parent == Path("/tmp")


def test_short_socket_folders_of_two_users_differ(monkeypatch):
    directory = Path("/" + "x" * 200)

    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    one = places.socket_directory(directory)
    monkeypatch.setattr(os, "geteuid", lambda: 1001)

    assert places.socket_directory(directory) != one


@pytest.mark.parametrize("sign", ['"', "$", "`", "\\", ",", "\n"])
def test_sign_that_start_up_cannot_pass_on_is_refused(sign):
    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="Choose another"):
        embedded.url_for(directory=Path(f"/srv/a{sign}b"), role="app")


def test_url_is_read_back_by_the_driver():
    url = embedded.url_for(directory=Path("/srv/My Lifts 100%"), role="owner")

    parts = psycopg.conninfo.conninfo_to_dict(url)

    assert parts == {
        "user": "ropeseat_owner",
        "host": "/srv/My Lifts 100%/socket",
        "port": "5432",
        "dbname": "ropeseat",
    }
