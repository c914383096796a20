"""The examples in the kernel's documentation run, to the digits they print."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
COMMAND = [
    *("-m", "pytest", "--quiet", "--doctest-modules"),
    *("-c", "pyproject.toml", "--rootdir", ".", "-p", "no:cacheprovider"),
    # Plain Python: neither Django nor the project's own plugin is wanted.
    *("-p", "no:django", "-o", "addopts=--import-mode=importlib"),
    *("-o", "filterwarnings=error", "-W", "ignore::pytest.PytestConfigWarning"),
    "inspections/engineering",
]


def test_every_example_of_the_kernel_runs():
    done = subprocess.run(
        [sys.executable, *COMMAND],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )

    assert done.returncode == 0, done.stdout[-4000:]
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed
    assert int(passed.group(1)) > 100
