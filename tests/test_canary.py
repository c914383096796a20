"""The canary itself: a run that writes a key into a log fails, however it does it."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
KEY = "rseat_" + "0123456789ab_" + "c2VjcmV0LXNlY3JldC1zZWNyZXQ"

WAYS = {
    "root": "logging.getLogger('some.where').warning('tried %s', KEY)",
    "exception": (
        "\n    try:\n        raise ValueError(KEY)\n"
        "    except ValueError:\n        logging.getLogger('x').exception('failed')"
    ),
    "apart": "logging.getLogger('django.server').warning(KEY)",
    "file": "(tmp_path / 'worker.log').write_text('tried ' + KEY)",
}


def run(tmp_path, line):
    test = tmp_path / "test_it.py"
    test.write_text(
        f"import logging\nKEY = {KEY!r}\ndef test_it(tmp_path):\n    {line}\n"
    )
    command = [sys.executable, "-m", "pytest", "-c", "/dev/null", "-q", str(test)]
    plugin = ["-p", "tests.canary", "-p", "no:cacheprovider"]
    done = subprocess.run(
        [*command, *plugin, "--basetemp", str(tmp_path / "run")],
        cwd=ROOT,
        env=os.environ | {"PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    # Or the canary of this very run would find it.
    shutil.rmtree(tmp_path / "run")
    return done


@pytest.mark.parametrize("way", WAYS)
def test_a_key_in_a_log_fails_the_run(tmp_path, way):
    done = run(tmp_path, WAYS[way])

    assert done.returncode == 1, done.stdout
    assert "1 passed" in done.stdout
    assert "secrets in logs" in done.stdout
    assert KEY not in done.stdout


def test_a_run_without_one_passes(tmp_path):
    done = run(tmp_path, "logging.getLogger('x').warning('rseat_0123456789ab only')")

    assert done.returncode == 0, done.stdout
