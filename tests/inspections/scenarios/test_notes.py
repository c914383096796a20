"""What a scenario supposes is said in words, in each language."""

import pytest
from django.utils import translation

from inspections.scenarios.notes import WORDS, Note


@pytest.mark.parametrize("note", Note)
def test_each_note_has_words_in_both_languages(note):
    with translation.override("en"):
        english = str(WORDS[note])
    with translation.override("de"):
        german = str(WORDS[note])

    assert english.endswith(".")
    assert german.endswith(".")
    assert german != english
