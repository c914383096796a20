"""The drawing side of reports is imported without Django, and without the rest."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCRIPT = """
import sys

class Refused:
    def find_spec(self, name, path=None, target=None):
        top = name.partition(".")[0]
        if top in {"django", "rest_framework", "celery", "pint", "numpy", "psycopg",
                   "fleet", "inspections"}:
            raise ImportError(f"{name} must not be imported here")

sys.meta_path.insert(0, Refused())
__import__(sys.argv[1])
print(*sorted(name.partition(".")[0] for name in sys.modules))
"""


@pytest.mark.parametrize(
    "module",
    [
        "reports.content",
        "reports.periods",
        "reports.figures.outlines",
        "reports.figures.svg",
        "reports.pdf.document",
    ],
)
def test_drawing_needs_neither_framework_nor_database(module):
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, module], cwd=ROOT, capture_output=True, text=True
    )

    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("module", ["reports.content", "reports.periods"])
def test_content_and_periods_need_no_drawing_library(module):
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, module], cwd=ROOT, capture_output=True, text=True
    )

    assert done.returncode == 0, done.stderr
    assert "reportlab" not in done.stdout.split()
