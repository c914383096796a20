import os
import pwd

import pytest

from fleet import embedded
from fleet.embedded import account


@pytest.fixture
def root(monkeypatch):
    monkeypatch.setattr(os, "geteuid", lambda: 0)


def known(*names):
    """A user database with just these names."""

    def look_up(name):
        if name not in names:
            raise KeyError(name)
        return pwd.struct_passwd((name, "x", 900, 901, "", "/", "/bin/false"))

    return look_up


def test_ordinary_user_is_itself_whatever_is_wanted(monkeypatch, tmp_path):
    me = pwd.getpwuid(os.getuid())
    monkeypatch.setattr(os, "geteuid", lambda: me.pw_uid or 1)
    monkeypatch.setattr(pwd, "getpwuid", lambda _: me)

    assert account.choose(wanted="postgres", data=tmp_path).name == me.pw_name


def test_user_id_without_a_name_says_what_to_do(monkeypatch, tmp_path):
    monkeypatch.setattr(os, "geteuid", lambda: 54321)
    monkeypatch.setattr(pwd, "getpwuid", known())

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="54321 has no name"):
        account.choose(wanted=None, data=tmp_path)


@pytest.mark.parametrize(
    ("names", "expected"),
    [(("postgres", "nobody"), "postgres"), (("nobody",), "nobody")],
)
def test_root_takes_the_first_usual_user(root, monkeypatch, tmp_path, names, expected):
    monkeypatch.setattr(pwd, "getpwnam", known(*names))

    chosen = account.choose(wanted=None, data=tmp_path / "none yet")

    assert (chosen.name, chosen.uid, chosen.gid) == (expected, 900, 901)


def test_root_stays_with_the_owner_of_the_data(root, monkeypatch, tmp_path):
    """A user `postgres` that appears later must not take over other's data."""
    monkeypatch.setattr(pwd, "getpwnam", known("postgres", "depot"))
    monkeypatch.setattr(pwd, "getpwuid", lambda _: known("depot")("depot"))

    assert account.choose(wanted=None, data=tmp_path).name == "depot"


@pytest.mark.parametrize("wanted", ["root", "nobody-of-that-name"])
def test_root_refuses_an_unfit_user(root, tmp_path, wanted):
    with pytest.raises(
        embedded.EmbeddedDatabaseUnavailable, match="EMBEDDED_DATABASE_USER"
    ):
        account.choose(wanted=wanted, data=tmp_path)
