from collections.abc import Iterator

import pytest

from tests.fleet.embedded.conftest import reachable_folder
from tests.services import brokers, postgresql
from tests.services.house import House


@pytest.fixture(scope="session")
def server() -> Iterator[postgresql.Server]:
    """A PostgreSQL server with our roles, no tables yet."""
    with reachable_folder() as folder, postgresql.running(folder) as found:
        yield found


@pytest.fixture(scope="session")
def rabbitmq() -> Iterator[brokers.RabbitMQ]:
    """A running RabbitMQ."""
    with reachable_folder() as folder:
        broker = brokers.RabbitMQ(folder=folder)
        try:
            broker.start()
            yield broker
        finally:
            broker.close()


@pytest.fixture(scope="session")
def redis() -> Iterator[brokers.Redis]:
    """A running Redis."""
    with reachable_folder() as folder:
        broker = brokers.Redis(folder=folder)
        try:
            broker.start()
            yield broker
        finally:
            broker.close()


@pytest.fixture(scope="session")
def house(server: postgresql.Server) -> Iterator[House]:
    """An installation with its tables and people; its queue is on the server."""
    with reachable_folder() as folder:
        url = server.url("ropeseat_queue", scheme="pgmq")
        made = House(folder=folder, server=server, broker_url=url)
        made.install()
        yield made
