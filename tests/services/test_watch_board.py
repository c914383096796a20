"""A running Prometheus that watches a running service: what the board shows."""

import json
import subprocess
import urllib.error
import urllib.parse
import urllib.request
from contextlib import contextmanager

import pytest
import yaml

from fleet.demo import ports
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT, wait_until
from tests.rehearsals import ledger
from tests.rehearsals.service import Service
from tests.services import programs

pytestmark = [pytest.mark.services, pytest.mark.long]

WATCH = ROOT / ".docker" / "watch"
TOKEN = "token of the watcher"
PATIENCE_S = 120
# Nothing of the kind happens in a service that is well.
NOTHING_TO_SHOW = {
    "Faults of the server, by route",
    "Oldest job that is due",
    "Mails",
}


@contextmanager
def prometheus(folder, *, watched):
    """Start the server; yield its address."""
    port = programs.free_port()
    config = {
        "global": {"scrape_interval": "1s", "evaluation_interval": "1s"},
        "rule_files": [str(WATCH / "alerts.yaml")],
        "scrape_configs": [
            {
                "job_name": "ropeseat",
                "authorization": {"credentials": TOKEN},
                "static_configs": [{"targets": [watched]}],
            }
        ],
    }
    (folder / "prometheus.yaml").write_text(yaml.safe_dump(config))
    command = [
        str(programs.program("prometheus")),
        f"--config.file={folder / 'prometheus.yaml'}",
        f"--storage.tsdb.path={folder / 'series'}",
        f"--web.listen-address=127.0.0.1:{port}",
    ]
    log = folder / "prometheus.log"
    with log.open("wb") as written:
        process = subprocess.Popen(command, stdout=written, stderr=written)
    address = f"http://127.0.0.1:{port}"
    try:
        programs.wait_until_started(lambda: ask(address, "targets"), log=log)
        yield address
    finally:
        process.terminate()
        process.wait()


def ask(address, what, **query):
    """Return what the server answers to a call of its API."""
    path = f"{address}/api/v1/{what}?{urllib.parse.urlencode(query)}"
    with urllib.request.urlopen(path, timeout=30) as answer:
        found = json.load(answer)
    assert found["status"] == "success", found
    return found["data"]


def shown(address):
    """Return the board's panels that have something to show."""
    board = json.loads((WATCH / "dashboard.json").read_text())
    return {
        panel["title"]
        for panel in board["panels"]
        if all(
            ask(address, "query", query=one["expr"])["result"]
            for one in panel["targets"]
        )
    }


def refused(address):
    """Return the statuses of refused requests that are known so far."""
    query = 'ropeseat_requests_total{status=~"4.."}'
    found = ask(address, "query", query=query)["result"]
    return {one["metric"]["status"] for one in found}


def be_refused(service):
    """Ask for something without saying who asks."""
    with pytest.raises(urllib.error.HTTPError, match="401"):
        urllib.request.urlopen(f"{service.address}/api/v1/me", timeout=30)


def test_every_panel_of_the_board_shows_a_service_at_work(tmp_path):
    titles = {
        panel["title"]
        for panel in json.loads((WATCH / "dashboard.json").read_text())["panels"]
    }
    with reachable_folder() as folder:
        metrics = {"METRICS_TOKEN": TOKEN, "METRICS_DIRECTORY": str(folder / "metrics")}
        service = Service(folder=folder, more=metrics)
        try:
            service.install()
            with ports.listen(port=0) as listening:
                watched = f"127.0.0.1:{listening.getsockname()[1]}"
                service.address = f"http://{watched}"
                with (
                    service.driven("watched") as notes,
                    service.serving(listening),
                    service.beat(),
                    service.worker(),
                    prometheus(tmp_path, watched=watched) as address,
                ):
                    wait_until(lambda: ledger.told(notes) > 0, within_s=PATIENCE_S)
                    be_refused(service)
                    wait_until(lambda: "401" in refused(address), within_s=PATIENCE_S)
                    be_refused(service)
                    wait_until(
                        lambda: titles - shown(address) <= NOTHING_TO_SHOW,
                        within_s=PATIENCE_S,
                    )
                    rules = ask(address, "rules")["groups"]
                    service.end_driver("watched")
        finally:
            service.database.stop()

    assert rules
    for rule in (one for group in rules for one in group["rules"]):
        assert rule["health"] == "ok", rule["name"]
