"""A client that a public generator makes from the committed description.

openapi-python-client makes it anew for each run; it logs in with a device's token,
uploads readings, and reads them back from a real server.
"""

import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests import factories

pytestmark = [pytest.mark.long, pytest.mark.django_db(transaction=True)]

DESCRIPTION = Path(__file__).parents[2] / "docs" / "openapi.yaml"
NAME = "made_client"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Make the client; return a function that imports a part of it."""
    folder = tmp_path_factory.mktemp("client")
    config = folder / "config.json"
    config.write_text(json.dumps({"post_hooks": [], "package_name_override": NAME}))
    ended = subprocess.run(
        [
            *(sys.executable, "-m", "openapi_python_client", "generate"),
            *("--path", str(DESCRIPTION), "--config", str(config)),
            *("--output-path", str(folder / NAME), "--meta", "none"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    # Pictures, PDF and archives it takes as bytes; everything else it understands.
    assert "Unable to process" not in ended.stdout, ended.stdout
    sys.path.insert(0, str(folder))
    try:
        yield lambda part: importlib.import_module(f"{NAME}.{part}")
    finally:
        sys.path.remove(str(folder))


def client(made, live_server, key):
    return made("client").AuthenticatedClient(base_url=live_server.url, token=key)


def test_made_client_logs_in_uploads_and_reads(made, live_server):
    cast = factories.cast()
    body = made("models.uploads_create_json_body").UploadsCreateJsonBody.from_dict(
        factories.upload({"reference": "made-1", "value": "0.508", "unit": "in"})
    )
    with client(made, live_server, cast.keys["TECHNICIAN"]) as phone:
        me = made("api.me.me_retrieve").sync(client=phone)
        sent = made("api.uploads.uploads_create").sync(
            client=phone, body=body, idempotency_key="made-upload"
        )
        machines = made("api.machines.machines_list").sync(client=phone, code="MH-1")
        page = made("api.machines.machines_page_retrieve").sync(
            machines.results[0].id, client=phone
        )
        readings = made("api.readings.readings_list").sync(
            client=phone, machine=machines.results[0].id
        )

    assert me.person.role.value == "TECHNICIAN"
    assert sent.counts.additional_properties == {"stored": 1}
    assert sent.cautions
    assert page.machine.code == "MH-1"
    (reading,) = readings.results
    assert (reading.reference, reading.typed_value) == ("made-1", "0.508")
    assert reading.id == sent.readings[0].id


def test_made_client_is_told_what_is_wrong(made, live_server):
    factories.cast()
    with client(made, live_server, "rseat_nobody_nothing") as stranger:
        answer = made("api.machines.machines_list").sync_detailed(client=stranger)

    assert answer.status_code == 401
    assert (answer.parsed.status, bool(answer.parsed.detail)) == (401, True)
