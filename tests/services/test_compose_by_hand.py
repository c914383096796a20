"""Production as the compose file has it, started by hand: no container engine."""

import json
import sys
from contextlib import ExitStack

import pytest

from fleet.platform.database import roles
from tests import factories
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import REGISTER, wait_until
from tests.services import programs
from tests.services.composed import Composition

pytestmark = [pytest.mark.services, pytest.mark.long]

DATABASE = "composed"


@pytest.fixture
def composition(server, rabbitmq):
    with server.connect(database="postgres") as administrator:
        roles.bootstrap(administrator, database=DATABASE)
    with server.connect(roles.OWNER, database=DATABASE) as owner:
        roles.prepare_database(owner)
    with reachable_folder() as folder:
        yield Composition(
            folder=folder,
            secrets={
                "secret_key": "for this test only, " * 4,
                "database_url": server.url(roles.APP, database=DATABASE),
                "database_owner_url": server.url(roles.OWNER, database=DATABASE),
                "broker_url": rabbitmq.url,
                "metrics_token": programs.PASSWORD * 2,
                "mail_password": "none",
            },
            variables={"ALLOWED_HOSTS": "lifts.example"},
        )


def test_services_of_the_compose_file_take_an_upload_to_its_findings(
    composition, server
):
    composition.run("upgrade")
    keys = json.loads(composition.run("web", sys.executable, "-c", REGISTER))
    body = factories.upload(
        {
            "value": "12.9",
            "unit": "mm",
            "place": {"station": "car side", "direction": "1"},
        }
    )

    with ExitStack() as services:
        running = [
            services.enter_context(composition.running(name))
            for name in ("web", "worker", "beat")
        ]
        wait_until(lambda: composition.looks_well("web"))
        status, answer = composition.ask(
            "/api/v1/uploads", key=keys["TECHNICIAN"], body=body
        )
        wait_until(lambda: _findings(server) > 0)
        wait_until(lambda: composition.looks_well("worker"))
        assert [service.poll() for service in running] == [None, None, None]

    assert (status, answer["counts"]) == (207, {"stored": 1})
    for name, service in zip(("web", "worker", "beat"), running, strict=True):
        # Asked to stop, each stops by itself.
        assert service.returncode == 0, composition.log(name).read_text()[-2000:]
    written = "".join(
        composition.log(name).read_text() for name in ("web", "worker", "beat")
    )
    for secret in (*keys.values(), programs.PASSWORD, "for this test only"):
        assert secret not in written
    # Fault 39.


def _findings(server):
    with server.connect(database=DATABASE) as administrator:
        return administrator.execute(
            "SELECT count(*) FROM inspections_finding"
        ).fetchone()[0]
