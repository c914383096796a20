"""The kernels and the drawing side can be used with Django absent."""

import subprocess
import sys

import pytest

PURE = [
    "inspections.engineering",
    "inspections.engineering.suspension",
    "inspections.engineering.criteria",
    "inspections.engineering.cut",
    "inspections.projection",
    "inspections.projection.forecasting",
    "inspections.decisions.records",
    "inspections.decisions.options",
    "inspections.decisions.budget",
    "inspections.decisions.regroove_order",
    "inspections.kinds",
    "inspections.reasons",
    "reports.content",
    "reports.periods",
    "reports.figures",
    "reports.pdf.document",
]

# A finder that lets nothing of Django, Celery or pint in, as if not installed.
WITHOUT = """
import sys

class Absent:
    def find_spec(self, name, path=None, target=None):
        top = name.split(".")[0]
        if top in {"django", "celery", "kombu", "pint", "rest_framework"}:
            raise ModuleNotFoundError(name)

sys.meta_path.insert(0, Absent())
import importlib
importlib.import_module(sys.argv[1])
"""


@pytest.mark.parametrize("module", PURE)
def test_module_is_imported_without_django(module):
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT, module],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr


def test_engineering_needs_the_standard_library_only():
    code = (
        "import sys; before = set(sys.modules);"
        "import inspections.engineering.suspension, inspections.engineering.cut;"
        "tops = {n.split('.')[0] for n in set(sys.modules) - before};"
        "print(sorted(t for t in tops if t not in sys.stdlib_module_names"
        " and t != 'inspections'))"
    )

    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"
