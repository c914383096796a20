"""A PostgreSQL of the project's own, for machines that have none.

For trial and for one small office: it takes no connection but from this machine's
socket and this user. A larger installation names a managed or packaged server in
DATABASE_URL instead. Importing this starts nothing and needs no Django settings.
"""

from fleet.embedded.addresses import Role, broker_url_for, url_for
from fleet.embedded.archive import Archive
from fleet.embedded.configuration import configured
from fleet.embedded.places import default_directory
from fleet.embedded.problems import EmbeddedDatabaseUnavailable
from fleet.embedded.server import Server

__all__ = [
    "Archive",
    "EmbeddedDatabaseUnavailable",
    "Role",
    "Server",
    "broker_url_for",
    "configured",
    "default_directory",
    "url_for",
]
