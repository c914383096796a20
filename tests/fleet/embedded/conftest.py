import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from fleet import embedded


@contextmanager
def reachable_folder() -> Iterator[Path]:
    """A short folder that the user who runs the server can enter, also under root."""
    base = "/tmp" if os.geteuid() == 0 else None
    path = Path(tempfile.mkdtemp(prefix="rope", dir=base))
    path.chmod(0o711)
    try:
        yield path
    finally:
        shutil.rmtree(path)


@pytest.fixture
def directory() -> Iterator[Path]:
    """Where a server may be made."""
    with reachable_folder() as folder:
        yield folder / "server"


@pytest.fixture
def server(directory: Path) -> Iterator[embedded.Server]:
    """A server on a machine where there never was one; not started yet."""
    made = embedded.Server(directory=directory, durable=False)
    yield made
    made.stop()


@pytest.fixture(scope="session")
def shared_server() -> Iterator[embedded.Server]:
    """One server for all tests that can do with an old one; a first run is slow."""
    with reachable_folder() as folder:
        made = embedded.Server(directory=folder / "server", durable=False)
        made.start()
        yield made
        made.stop()


@pytest.fixture
def running(shared_server: embedded.Server) -> embedded.Server:
    """A server that runs."""
    shared_server.start()
    return shared_server


@pytest.fixture
def known_server(shared_server: embedded.Server) -> embedded.Server:
    """A server that has run before and is stopped."""
    shared_server.stop()
    return shared_server
