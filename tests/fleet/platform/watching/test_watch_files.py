"""Alert rules and the dashboard: they can be read, and what they ask for is there."""

import json
import re
from pathlib import Path

import pytest
import yaml
from prometheus_client.parser import text_string_to_metric_families as parsed

from fleet.platform import counters, security_log
from fleet.platform.watching.metrics import page
from tests import callers
from tests.fleet.installation import ROOT

FOLDER = ROOT / ".docker" / "watch"
RULES = yaml.safe_load((FOLDER / "alerts.yaml").read_text())
BOARD = json.loads((FOLDER / "dashboard.json").read_text())
ALERTS = [rule for group in RULES["groups"] for rule in group["rules"]]
ASKED = [rule["expr"] for rule in ALERTS] + [
    target["expr"] for panel in BOARD["panels"] for target in panel["targets"]
]
# What a series ends with that is one of a family's.
ENDINGS = ("_total", "_bucket", "_sum", "_count")


def names_in(expression):
    return set(re.findall(r"\bropeseat_[a-z_]+", expression))


@pytest.fixture
def told(settings):
    """Return the names of all families that the page has, with samples or without."""
    settings.METRICS_TOKEN = "token of the watcher"
    counters.REQUESTS.labels("none", "GET", "200").inc()
    counters.REQUEST_SECONDS.labels("none").observe(0.1)
    counters.SECURITY_EVENTS.labels("log-in").inc()
    counters.TASKS.labels("none", "SUCCESS").inc()
    counters.TASK_SECONDS.labels("none").observe(0.1)
    shown = {"Authorization": "Bearer token of the watcher"}
    answer = callers.call(None, "GET", "/metrics", **shown)
    assert answer.status_code == 200
    assert page.Source
    return {family.name: family for family in parsed(answer.content.decode())}


@pytest.mark.django_db
def test_every_metric_that_is_asked_for_is_on_the_page(told):
    asked = {name for expression in ASKED for name in names_in(expression)}

    missing = {
        name for name in asked if name not in told and _family_of(name, told) is None
    }

    assert len(asked) > 12
    assert missing == set()


def _family_of(name, told):
    for ending in ENDINGS:
        family = told.get(name.removesuffix(ending))
        if name.endswith(ending) and family is not None:
            # Only a counter has a total, only a histogram the others.
            kind = "counter" if ending == "_total" else "histogram"
            return family if family.type == kind else None
    return None


@pytest.mark.django_db
def test_every_label_that_is_asked_for_is_on_the_page(told):
    for expression in ASKED:
        for name, chosen in re.findall(r"(ropeseat_[a-z_]+)\{([^}]*)\}", expression):
            labels = set(re.findall(r"([a-z]+)=", chosen))
            family = told.get(name) or _family_of(name, told)
            known = {label for one in family.samples for label in one.labels}
            # A family without samples yet says nothing of its labels.
            assert not known or labels <= known, expression


def test_every_event_that_an_alert_names_is_told_somewhere_and_begins_at_0():
    named = set()
    for expression in ASKED:
        for events in re.findall(r'event=~?"([^"]+)"', expression):
            named |= set(events.split("|"))
    code = "".join(
        path.read_text()
        for app in ("fleet", "inspections", "reports")
        for path in (ROOT / app).rglob("*.py")
    )
    told = set(re.findall(r'tell\(\s*"([a-z-]+)"', code))

    assert len(named) >= 6
    assert named <= told
    assert told == set(security_log.EVENTS)
    # Of this process, which may have counted some by now.
    counted = {labels for labels, _ in _series(counters.SECURITY_EVENTS)}
    assert counted >= told


def _series(counter):
    [family] = counter.collect()
    return [(one.labels["event"], one.value) for one in family.samples]


@pytest.mark.parametrize("rule", ALERTS, ids=lambda rule: rule["alert"])
def test_a_rule_has_what_a_rule_file_needs(rule):
    assert set(rule) <= {"alert", "expr", "for", "labels", "annotations"}
    assert re.fullmatch(r"[A-Z][A-Za-z]+", rule["alert"])
    assert re.fullmatch(r"\d+[smh]", rule.get("for", "1m"))
    assert rule["labels"]["severity"] in {"page", "ticket"}
    assert rule["annotations"]["summary"]
    for opening, closing in ("()", "[]", "{}"):
        assert rule["expr"].count(opening) == rule["expr"].count(closing)


def test_alerts_and_panels_are_told_apart():
    names = [rule["alert"] for rule in ALERTS]
    ids = [panel["id"] for panel in BOARD["panels"]]

    assert len(set(names)) == len(names)
    assert len(set(ids)) == len(ids)


def test_the_board_asks_for_its_source_and_names_no_server():
    [source] = BOARD["templating"]["list"]

    assert source["type"] == "datasource"
    for panel in BOARD["panels"]:
        assert panel["datasource"]["uid"] == f"${{{source['name']}}}"
        assert {"x", "y", "w", "h"} == set(panel["gridPos"])
    assert "http" not in Path(FOLDER / "dashboard.json").read_text()
