"""What became of readings that a form sent: told, or said at their fields."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest
from django.utils.translation import gettext, ngettext

from fleet.platform.pages.forms import PageForm, Refused

NOT_TAKEN = ("refused", "conflict")


def refuse(form: PageForm, answer: Mapping[str, Any], *, names: Sequence[str]) -> None:
    """Raise if a reading was not taken, after saying at its field why.

    `names` are the fields of the readings, in the order in which they were sent.
    """
    wrong = [
        (name, reading)
        for name, reading in zip(names, answer["readings"], strict=True)
        if reading["outcome"] in NOT_TAKEN
    ]
    for name, reading in wrong:
        said = reading.get("problem", {}).get("detail", reading["outcome"])
        form.add_error(name, gettext(said))
    if wrong:
        raise Refused(gettext("Some readings cannot be taken as they are."))


def tell(request: HttpRequest, answer: Mapping[str, Any]) -> None:
    """Say how many are stored, how many wait for a word, and what stops the machine."""
    stored = len(answer["readings"])
    held = answer["counts"].get("held", 0)
    said = ngettext(
        "%(stored)s reading is stored.", "%(stored)s readings are stored.", stored
    ) % {"stored": stored}
    if held:
        said += " " + ngettext(
            "%(held)s is unusual and waits to be confirmed.",
            "%(held)s are unusual and wait to be confirmed.",
            held,
        ) % {"held": held}
    messages.info(request, said)
    if answer.get("stop"):
        messages.warning(request, gettext(answer["stop"]))
