"""The URLs under which the embedded server is reached; nothing is started."""

from pathlib import Path
from typing import Literal
from urllib.parse import quote

from fleet.embedded import places
from fleet.platform.database import roles

Role = Literal["app", "owner", "queue", "admin"]

ADMIN = "ropeseat_admin"

ROLE_NAMES: dict[Role, str] = {
    "app": roles.APP,
    "owner": roles.OWNER,
    "queue": roles.QUEUE,
    "admin": ADMIN,
}


def url_for(*, directory: Path, role: Role, database: str = roles.DATABASE) -> str:
    """Return the postgresql:// URL of a role on the server in a directory."""
    return f"postgresql://{_rest(directory, role, database)}"


def broker_url_for(*, directory: Path, database: str = roles.DATABASE) -> str:
    """Return the pgmq:// URL of the queue on the server in a directory."""
    return f"pgmq://{_rest(directory, 'queue', database)}"


def _rest(directory: Path, role: Role, database: str) -> str:
    # The socket's folder stands percent-encoded in the host's place, where both
    # libpq and Kombu read it; Kombu takes no ?host=.
    socket = quote(str(places.places_of(directory).socket), safe="")
    return f"{ROLE_NAMES[role]}@{socket}:{places.PORT}/{quote(database, safe='')}"
