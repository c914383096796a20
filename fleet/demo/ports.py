"""The address of the demo's web server, taken before the server is started."""

import socket

from fleet.demo.problems import DemoStopped

HOST = "127.0.0.1"
USUAL_PORT = 8000
PORTS_TRIED = 20
BACKLOG = 128


def listen(*, port: int | None) -> socket.socket:
    """Return a listening socket on this port, or on the first free usual one.

    The web server inherits it, so no one can take the port in between, and callers
    wait while the server is started again. Raises DemoStopped.
    """
    wanted = range(USUAL_PORT, USUAL_PORT + PORTS_TRIED) if port is None else (port,)
    for candidate in wanted:
        try:
            return _listen(candidate)
        except (OSError, OverflowError) as problem:
            reason = problem
    if port is None:
        raise DemoStopped(
            f"The ports {wanted[0]} to {wanted[-1]} are all in use. Name a free one "
            "with --port."
        )
    raise DemoStopped(
        f"Port {port} cannot be used: {reason}. Name another with --port, or leave "
        "it out to take a free one."
    )


def _listen(port: int) -> socket.socket:
    opened = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        # A port that an earlier run has just left may be taken again at once.
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        opened.bind((HOST, port))
        opened.listen(BACKLOG)
    except BaseException:
        opened.close()
        raise
    return opened
