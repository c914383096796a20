"""Folders of our own: made closed, checked before use, parents left as they are."""

import os
import stat
from pathlib import Path

from fleet.embedded.account import Account
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

REMEDY = "Choose another folder with EMBEDDED_DATABASE_DIRECTORY."


def make(path: Path, *, mode: int, owner: Account | None = None) -> None:
    """Make a folder if it is missing; it then has this mode and owner (or ours).

    Only a folder made or owned by us gets its mode set; a parent never does.
    Raises EmbeddedDatabaseUnavailable if something else stands there.
    """
    uid = os.geteuid() if owner is None else owner.uid
    try:
        try:
            path.mkdir(mode=mode)
        except FileExistsError:
            _check(path, uid)
        else:
            _hand_over(path, owner)
        if stat.S_IMODE(path.lstat().st_mode) != mode:
            path.chmod(mode)
    except OSError as problem:
        raise EmbeddedDatabaseUnavailable(
            f"The folder {path} cannot be used: {problem}. {REMEDY}"
        ) from problem


def make_parents(path: Path, *, mode: int) -> None:
    """Make the missing parents of a path, outermost first; others stay untouched."""
    missing = [parent for parent in path.parents if not parent.exists()]
    for parent in reversed(missing):
        make(parent, mode=mode)


def check_can_enter(path: Path, *, runner: Account) -> None:
    """Raise EmbeddedDatabaseUnavailable if the user cannot walk down to a path."""
    if runner.is_current:
        return
    for parent in reversed(path.parents):
        if not _lets_in(parent.stat(), runner):
            raise EmbeddedDatabaseUnavailable(
                f"User {runner.name}, which runs the server for root, cannot enter "
                f"{parent}, and its permissions are not ours to change. {REMEDY}"
            )


def _check(path: Path, uid: int) -> None:
    # lstat: a link that somebody else put here must not be followed.
    found = path.lstat()
    if not stat.S_ISDIR(found.st_mode) or found.st_uid != uid:
        raise EmbeddedDatabaseUnavailable(
            f"{path} is not a folder of user id {uid}; somebody else made it. Remove "
            f"it if nothing needs it. {REMEDY}"
        )


def _hand_over(path: Path, owner: Account | None) -> None:
    if owner is not None and not owner.is_current:
        os.chown(path, owner.uid, owner.gid, follow_symlinks=False)


def _lets_in(found: os.stat_result, runner: Account) -> bool:
    if found.st_uid == runner.uid:
        return bool(found.st_mode & stat.S_IXUSR)
    if found.st_gid == runner.gid:
        return bool(found.st_mode & stat.S_IXGRP)
    return bool(found.st_mode & stat.S_IXOTH)
