"""Web servers whose requests wait in threads, each for a limited time.

A client that stops in the middle of its headers or body keeps one thread, not a whole
server, and is let go when it has sent nothing for so long. How long a request takes
altogether is not limited: a telephone on a bad network may send for minutes.
"""

import socket
from typing import Any

from gunicorn.workers import gthread

# Longer than a telephone is away between two cells: common practice, no source.
SILENT_S = 30.0


class Connection(socket.socket):
    """A connection that waits for its client, but not for ever."""

    def setblocking(self, flag: bool, /) -> None:
        """Wait with a limit where the server asks to wait without one."""
        self.settimeout(SILENT_S if flag else 0.0)


class Worker(gthread.ThreadWorker):  # type: ignore[misc]
    """gunicorn's threaded worker; its connections have a limit of silence."""

    def enqueue_req(self, conn: Any) -> None:
        """Hand a connection to a thread, with the limit."""
        if not isinstance(conn.sock, Connection):
            kept = conn.sock
            conn.sock = Connection(fileno=kept.detach())
            conn.sock.setblocking(False)
        super().enqueue_req(conn)
