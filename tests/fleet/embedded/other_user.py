"""Doing something as another user of this machine, which only root can."""

import os
import pickle
import pwd
from collections.abc import Callable
from typing import Any


def run_as(name: str, action: Callable[[], Any]) -> Any:
    """Return what the action returns when that user runs it, or raise its error.

    A fork, not a new interpreter: that user may be unable to read this one's files.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os._exit(_report(name, action, writing))
    os.close(writing)
    with open(reading, "rb") as pipe:
        outcome = pickle.load(pipe)
    os.waitpid(child, 0)
    if isinstance(outcome, Exception):
        raise outcome
    return outcome


def _report(name: str, action: Callable[[], Any], writing: int) -> int:
    account = pwd.getpwnam(name)
    os.setgroups([])
    os.setgid(account.pw_gid)
    os.setuid(account.pw_uid)
    try:
        outcome = action()
    except Exception as problem:
        outcome = type(problem)(str(problem))
    with open(writing, "wb") as pipe:
        pickle.dump(outcome, pipe)
    return 0
