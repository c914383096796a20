"""Each word of a choice that a page shows has its German."""

import re
from pathlib import Path

from django.apps import apps
from django.utils import translation

ROOT = Path(__file__).parents[1]
OURS = ("fleet", "inspections", "reports")
SHOWN = r"get_(\w+)_display"


def shown():
    """Return the names of the columns whose words stand on a page."""
    pages = [*ROOT.glob("*/templates/**/*.html"), *ROOT.glob("*/**/pages/**/*.py")]
    return {name for p in pages for name in re.findall(SHOWN, p.read_text("utf-8"))}


def test_each_word_of_a_choice_on_a_page_has_its_german():
    names, without, seen = shown(), [], 0
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if model._meta.app_label not in OURS or field.name not in names:
                continue
            for _, label in field.flatchoices:
                with translation.override("en"):
                    english = str(label)
                with translation.override("de"):
                    seen += 1
                    if translation.gettext(english) == english:
                        without.append((model.__name__, field.name, english))

    assert without == []
    assert seen > 100
