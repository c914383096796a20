"""Alert rules and the board's questions in the tool that they are written for."""

import json
import shutil
import subprocess

import pytest
import yaml

from tests.fleet.installation import ROOT
from tests.services.programs import program

pytestmark = [pytest.mark.services, pytest.mark.long]

WATCH = ROOT / ".docker" / "watch"
TRIED = ROOT / "tests" / "services" / "alerts.tried.yaml"


@pytest.fixture(scope="module")
def promtool():
    return program("promtool")


def told_by(promtool, *arguments, folder):
    done = subprocess.run(
        [promtool, *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_each_alert_calls_when_it_should_and_not_before(promtool, tmp_path):
    for path in (WATCH / "alerts.yaml", TRIED):
        shutil.copy(path, tmp_path)

    told_by(promtool, "test", "rules", TRIED.name, folder=tmp_path)


def test_no_alert_is_left_untried():
    rules = yaml.safe_load((WATCH / "alerts.yaml").read_text())
    named = {rule["alert"] for group in rules["groups"] for rule in group["rules"]}
    text = TRIED.read_text()

    assert {one for one in named if f'{{alertname="{one}",severity=' in text} == named


def test_the_boards_questions_are_read(promtool, tmp_path):
    board = json.loads((WATCH / "dashboard.json").read_text())
    asked = [one["expr"] for panel in board["panels"] for one in panel["targets"]]
    rules = [{"record": f"asked:{n}", "expr": expr} for n, expr in enumerate(asked)]
    held = {"groups": [{"name": "board", "rules": rules}]}
    (tmp_path / "board.yaml").write_text(yaml.safe_dump(held))

    said = told_by(promtool, "check", "rules", "board.yaml", folder=tmp_path)

    assert f"{len(asked)} rules found" in said
