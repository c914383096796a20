"""The compose file is one by the compose specification's own schema."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def test_compose_file_keeps_to_the_specification():
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "check_jsonschema",
            "--builtin-schema",
            "vendor.compose-spec",
            str(ROOT / "docker-compose.yml"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stdout + done.stderr


def test_image_runs_nothing_as_root():
    lines = (ROOT / ".docker" / "Dockerfile").read_text().splitlines()
    users = [line.split()[1] for line in lines if line.startswith("USER ")]

    assert users == ["ropeseat"]
