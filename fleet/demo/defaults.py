"""The environment of `manage.py demo`, filled before Django reads its settings.

Everything of the demo is in one folder of its own: an embedded database, files, and
a secret key that was made there once. A database or broker that the caller names is
never touched: the demo then refuses to start. Nothing here is used outside the demo.
"""

import os
import secrets
import stat
import sys
from pathlib import Path

from fleet import embedded
from fleet.embedded import folders

PROJECT_ROOT = Path(__file__).resolve().parent.parent.parent

STATE_FOLDER = "DEMO_DIRECTORY"
REAL_SERVICES = ("DATABASE_URL", "DATABASE_OWNER_URL", "CELERY_BROKER_URL")

# What a real installation would set, and what steers libpq and gunicorn unseen.
NOT_FOR_THE_DEMO = (
    "BEHIND_PROXY",
    "CSRF_TRUSTED_ORIGINS",
    "GUNICORN_CMD_ARGS",
    "HSTS_SECONDS",
    "LOG_LEVEL",
    "SECRET_KEY_FILE",
    "STATIC_ROOT",
)
LIBPQ_PREFIX = "PG"

# Marks a folder as the demo's own, which --fresh may empty.
MARK = "this-is-the-ropeseat-demo"
SECRET_KEY = "secret-key"
OWNER_ONLY = 0o700
# Root's database runs as an unprivileged user, who walks through this folder.
WALK_THROUGH = 0o711
FILE_OF_OWNER_ONLY = 0o600

# A worker that was killed holds its job this long; the default is for real offices.
JOB_LEASE_S = 60


def prepare() -> None:
    """Fill the environment for the demo, and make its folder.

    Ends the program with a sentence if the caller's environment names a real
    database or broker, or if the folder cannot be used.
    """
    named = [name for name in REAL_SERVICES if _is_set(name) or _is_set(f"{name}_FILE")]
    if named:
        sys.exit(
            f"{named[0]} is set, and the demo never touches a real database or "
            f"broker: it brings its own. Start it without: env -u {named[0]} "
            "python manage.py demo"
        )
    state = state_folder()
    if {"-h", "--help"} & set(sys.argv[1:]):
        _fill(state=state, secret_key=secrets.token_urlsafe(50))
        # Counters make their folder as they start: never one that the demo would find
        # later and take for somebody else's.
        os.environ.pop("METRICS_DIRECTORY")
        return
    try:
        open_folder(state)
        _fill(state=state, secret_key=_secret_key(state))
    except (OSError, embedded.EmbeddedDatabaseUnavailable) as problem:
        sys.exit(
            f"The demo cannot keep its files in {state}: {problem} Name another "
            f"folder in {STATE_FOLDER}."
        )


def state_folder() -> Path:
    """Return the folder of the demo: named by the caller, else beside the database.

    An ordinary user has it in the clone; root's stands outside, where the database's
    unprivileged user can enter.
    """
    named = os.environ.get(STATE_FOLDER, "").strip()
    if named:
        return Path(named).expanduser().resolve()
    database = embedded.default_directory(project_root=PROJECT_ROOT)
    if os.geteuid() == 0:
        return database.with_name(f"{database.name}-demo")
    return database.with_name("demo")


def open_folder(state: Path) -> None:
    """Make the folder, or check that it is the demo's own.

    Raises FileExistsError if it holds something else.
    """
    is_root = os.geteuid() == 0
    folders.make_parents(state, mode=0o755 if is_root else OWNER_ONLY)
    if not (state / MARK).exists() and state.is_dir() and any(state.iterdir()):
        raise FileExistsError("it holds other things already.")
    folders.make(state, mode=WALK_THROUGH if is_root else OWNER_ONLY)
    (state / MARK).touch(mode=FILE_OF_OWNER_ONLY)


def _fill(*, state: Path, secret_key: str) -> None:
    for name in (
        *NOT_FOR_THE_DEMO,
        *(n for n in os.environ if n.startswith(LIBPQ_PREFIX)),
    ):
        os.environ.pop(name, None)
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "fleet.project.settings",
        STATE_FOLDER: str(state),
        "SECRET_KEY": secret_key,
        "ALLOWED_HOSTS": "localhost,127.0.0.1",
        "HTTPS": "no",
        "MEDIA_ROOT": str(state / "media"),
        "METRICS_DIRECTORY": str(state / "metrics"),
        # Mail is written into the worker's log.
        "EMAIL_BACKEND": "django.core.mail.backends.console.EmailBackend",
        "EMBEDDED_DATABASE_DIRECTORY": str(state / "database"),
        "JOB_LEASE_S": str(JOB_LEASE_S),
    }


def _secret_key(state: Path) -> str:
    path = state / SECRET_KEY
    try:
        opened = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_OF_OWNER_ONLY)
    except FileExistsError:
        key = path.read_text().strip()
        if key and not path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
            return key
        # Cut off while it was written, or open to others: not secret, made anew.
        path.unlink()
        return _secret_key(state)
    with os.fdopen(opened, "w") as file:
        file.write(key := secrets.token_urlsafe(50))
    return key


def _is_set(name: str) -> bool:
    return bool(os.environ.get(name, "").strip())
