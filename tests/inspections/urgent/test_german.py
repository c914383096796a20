"""German of the urgent mails is complete, and the compiled file is the written one."""

import ast
import gettext
import re
from pathlib import Path

import pytest

from inspections.kinds import KINDS
from inspections.models import StopCause

INSPECTIONS = Path(__file__).resolve().parents[3] / "inspections"
LOCALE = INSPECTIONS / "locale" / "de" / "LC_MESSAGES"


@pytest.fixture(scope="module")
def german():
    with (LOCALE / "django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def marked():
    for name in ("letter.py", "stop_letter.py"):
        tree = ast.parse((INSPECTIONS / "urgent" / name).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            is_marked = (
                isinstance(node, ast.Call) and getattr(node.func, "id", "") == "_"
            )
            if is_marked and isinstance(node.args[0], ast.Constant):
                yield node.args[0].value


def test_every_text_and_every_kind_has_its_german(german):
    texts = {*marked(), *(kind.name for kind in KINDS.values())}
    texts |= {str(label) for label in StopCause.labels}

    missing = {text for text in texts if text not in german._catalog}

    assert not missing


def test_the_compiled_file_says_what_the_written_one_says(german):
    text = (LOCALE / "django.po").read_text(encoding="utf-8")
    single = re.findall(
        r'^(?:msgctxt (".*")\n)?msgid (".*")\nmsgstr (".*")$', text, re.MULTILINE
    )
    plural = re.findall(
        r'^msgid (".*")\nmsgid_plural ".*"\nmsgstr\[0\] (".*")\nmsgstr\[1\] (".*")$',
        text,
        re.MULTILINE,
    )
    # As gettext keys a text that has a context: both, with a separator between.
    written = {
        "\x04".join(ast.literal_eval(part) for part in (of, k) if part): (
            ast.literal_eval(v)
        )
        for of, k, v in single
    }
    for one, first, second in plural:
        written[ast.literal_eval(one), 0] = ast.literal_eval(first)
        written[ast.literal_eval(one), 1] = ast.literal_eval(second)

    assert len(single) + len(plural) == text.count("\nmsgid ")
    assert {k: v for k, v in german._catalog.items() if k} == {
        k: v for k, v in written.items() if k
    }
