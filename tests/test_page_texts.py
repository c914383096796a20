"""Every text of a page has its German."""

import re
from pathlib import Path

import pytest
from django.utils import translation

ROOT = Path(__file__).parents[1]
TEMPLATES = sorted(
    path
    for folder in (
        "fleet/templates/pages",
        "fleet/templates/people",
        "fleet/templates/register/pages",
        "inspections/templates/inspections/pages",
        "reports/templates/reports/pages",
    )
    for path in (ROOT / folder).glob("*.html")
)
# Names of the program and single marks stay what they are.
SAME = {"–", "Name"}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_every_text_of_a_page_has_its_german(path):
    text = path.read_text("utf-8")
    marked = re.findall(r"""{% translate ["']([^"']+)["'] %}""", text)
    plural = []
    for head, body in re.findall(
        r"{% blocktranslate([^%]*)%}(.*?){% endblocktranslate %}", text
    ):
        one, _, many = body.partition("{% plural %}")
        one, many = (re.sub(r"{{ (\w+) }}", r"%(\1)s", each) for each in (one, many))
        plural.append((one, many)) if many else marked.append(one)
        assert bool(many) == ("count" in head)

    with translation.override("de"):
        missing = [m for m in marked if m not in SAME and translation.gettext(m) == m]
        missing += [p for p in plural if translation.ngettext(*p, 2) == p[1]]

    assert missing == []
    assert marked


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_page_loads_its_script_where_it_asks_by_it_and_nowhere_else(path):
    text = path.read_text("utf-8")
    asks = "hx-" in text or "parts/again.html" in text or "parts/part.html" in text

    assert asks == ("{% htmx_script %}" in text)
