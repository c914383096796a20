import os
import pwd
import stat
from pathlib import Path

import pytest

from fleet import embedded
from fleet.embedded import account, folders


def test_new_folder_has_its_mode_whatever_the_umask(tmp_path):
    before = os.umask(0o077)

    folders.make(tmp_path / "made", mode=0o711)
    os.umask(before)

    assert stat.S_IMODE((tmp_path / "made").stat().st_mode) == 0o711


def test_own_folder_left_open_is_closed(tmp_path):
    (tmp_path / "made").mkdir(mode=0o777)

    folders.make(tmp_path / "made", mode=0o700)

    assert stat.S_IMODE((tmp_path / "made").stat().st_mode) == 0o700


def test_link_in_the_place_of_a_folder_is_not_followed(tmp_path):
    (tmp_path / "target").mkdir(mode=0o755)
    (tmp_path / "made").symlink_to(tmp_path / "target")

    with pytest.raises(
        embedded.EmbeddedDatabaseUnavailable, match="is not a folder of"
    ):
        folders.make(tmp_path / "made", mode=0o700)

    assert stat.S_IMODE((tmp_path / "target").stat().st_mode) == 0o755


def test_existing_parents_keep_their_mode(tmp_path):
    tmp_path.chmod(0o750)

    folders.make_parents(tmp_path / "new" / "newer" / "made", mode=0o755)

    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o750
    assert stat.S_IMODE((tmp_path / "new" / "newer").stat().st_mode) == 0o755
    assert not (tmp_path / "new" / "newer" / "made").exists()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root's server runs as another user")
def test_closed_home_of_root_is_named_and_stays_closed(directory):
    home = directory.parent / "home"
    home.mkdir(mode=0o700)
    server = embedded.Server(directory=home / "project" / "database", durable=False)

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match=f"enter {home}"):
        server.start()

    assert stat.S_IMODE(home.stat().st_mode) == 0o700


def test_everyone_can_enter_an_open_path():
    nobody = pwd.getpwnam("nobody")
    runner = account.Account(name="nobody", uid=nobody.pw_uid, gid=nobody.pw_gid)

    folders.check_can_enter(Path("/tmp/x"), runner=runner)
