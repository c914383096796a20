"""What a rule refuses with a reason, said in the reader's language and units."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.utils.translation import gettext

from fleet.platform.errors import DomainError
from fleet.platform.pages.forms import Refused
from inspections import wording
from inspections.planning.problems import NotOffered, NotThisWay
from inspections.scenarios import words as tried


@contextmanager
def in_words(*, family: str) -> Iterator[None]:
    """Raise what a choice is refused for as the form says it, at its field."""
    try:
        yield
    except NotOffered as error:
        if error.said is None:
            raise
        words = wording.say(error.said, family=family)
        raise Refused(words, field="option") from error
    except NotThisWay as error:
        if error.said is None:
            raise
        words = wording.say(error.said, family=family)
        although = gettext("Say below why it is chosen all the same.")
        raise Refused(f"{words}. {although}", field="although") from error


def of_scenario(error: DomainError, *, family: str) -> str:
    """Return why a change is not tried, with what it names as the page calls it."""
    said, words = getattr(error, "said", None), getattr(error, "words", "")
    if said is not None:
        return wording.say(said, family=family)
    if not words:
        return error.detail
    values = {
        name: tried.ITEMS[value][0] if value in tried.ITEMS else tried.named(value)
        for name, value in error.values.items()  # type: ignore[attr-defined]
    }
    return gettext(words) % values
