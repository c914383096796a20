"""The environment that tests run in: a pytest plugin, loaded before Django's settings.

Tests never touch the database that the caller's own DATABASE_URL names. They use an
embedded server in a temporary folder, which is started when the first test needs it.
To test against a real server, name its three roles (see
`fleet/platform/database/roles.py`), each with any database; the tests make one of
their own there:

    ROPESEAT_TEST_DATABASE_URL, ROPESEAT_TEST_DATABASE_OWNER_URL and
    ROPESEAT_TEST_BROKER_URL (pgmq://)
"""

import atexit
import getpass
import os
import shutil
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

from fleet import embedded
from fleet.embedded import folders, locking

REAL_SERVER = "ROPESEAT_TEST_DATABASE_URL"
EMBEDDED = "EMBEDDED_DATABASE_DIRECTORY"
LETS_SERVER_USER_THROUGH = 0o711

# Held until this program ends, however it ends.
held_locks: list[int] = []


def configure() -> None:
    """Fill the environment for Django; nothing is started."""
    for name in [name for name in os.environ if name.endswith("_FILE")]:
        del os.environ[name]
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "fleet.project.settings",
        "SECRET_KEY": "for tests only, " * 4,
        "ALLOWED_HOSTS": "testserver,localhost,127.0.0.1",
        "HTTPS": "no",
        # A code may be made just before its half minute ends.
        "ONE_TIME_CODE_STEPS": "1",
        # Counted as always; the walks ask more in a minute than any device would.
        "REQUESTS_PER_MINUTE": "1000000",
        "METRICS_DIRECTORY": _folder_of_counts(),
        "EMAIL_BACKEND": "django.core.mail.backends.locmem.EmailBackend",
    }
    if os.environ.get(REAL_SERVER):
        _use_real_server()
    else:
        _use_embedded_server()


def is_embedded() -> bool:
    """Return whether the tests have a server of their own to start and stop."""
    return not os.environ.get(REAL_SERVER)


def _use_real_server() -> None:
    database = f"test_ropeseat_{getpass.getuser()}_{os.getpid()}"
    for name in ("DATABASE_URL", "DATABASE_OWNER_URL", "CELERY_BROKER_URL"):
        given = os.environ[f"ROPESEAT_TEST_{name.removeprefix('CELERY_')}"]
        os.environ[name] = urlsplit(given)._replace(path=f"/{database}").geturl()


def _use_embedded_server() -> None:
    directory, database = _free_directory(), "test_ropeseat"
    os.environ |= {
        EMBEDDED: str(directory),
        "DATABASE_URL": embedded.url_for(
            directory=directory, role="app", database=database
        ),
        "DATABASE_OWNER_URL": embedded.url_for(
            directory=directory, role="owner", database=database
        ),
        "CELERY_BROKER_URL": embedded.broker_url_for(
            directory=directory, database=database
        ),
    }


def _folder_of_counts() -> str:
    folder = tempfile.mkdtemp(prefix="ropeseat-metrics-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _free_directory() -> Path:
    """Return a folder that no other test session uses; it may be an earlier one's."""
    # Root's server runs as a user who can enter /tmp, but perhaps not TMPDIR.
    base = Path("/tmp" if os.geteuid() == 0 else tempfile.gettempdir())
    mine = base / f"ropeseat-tests-{os.geteuid()}"
    folders.make(mine, mode=LETS_SERVER_USER_THROUGH)
    number = 0
    while (lock := locking.take(mine / f"{number}.lock")) is None:
        number += 1
    held_locks.append(lock)
    return mine / str(number)


configure()
