"""What an activity or the database refused, at the field where it belongs."""

from typing import Any

from django.db import IntegrityError
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from rest_framework import exceptions

from fleet.platform.api import errors
from fleet.platform.errors import DomainError
from fleet.platform.pages.forms.form import PageForm

TAKEN = (DomainError, IntegrityError, exceptions.ValidationError)


class Refused(DomainError):
    """What a page itself refuses, in the reader's words, at a field or at the top."""

    def __init__(self, words: str, *, field: str = "") -> None:
        super().__init__(words, pointer=f"/{field}" if field else "")


def note(form: PageForm, error: Exception) -> None:
    """Put an error at its field, or at the top where the form has no such field."""
    for pointer, words in _said(error):
        steps = [step for step in pointer.split("/") if step]
        # A map within a form: "hours/SHORTEN" is the field hours__SHORTEN.
        names = ["__".join(steps[:2]), *steps[:1], *(f"values__{s}" for s in steps[:1])]
        found = next((name for name in names if name in form.fields), None)
        form.add_error(found, words)


def in_words(error: DomainError) -> str:
    """Return what a rule refused in the reader's language.

    Where only the rule has words there and not what it names, both are said.
    """
    said = _(error.detail)
    if said != error.detail or get_language() in (None, "en"):
        return said
    rule = (error.__doc__ or "").strip().splitlines()[:1]
    known = _(rule[0]) if rule else ""
    if not rule or known == rule[0]:
        return said
    if error.detail == rule[0]:
        return known
    return _("%(rule)s In English: %(said)s") % {"rule": known, "said": error.detail}


def _said(error: Exception) -> list[tuple[str, str]]:
    if isinstance(error, DomainError):
        return [(error.pointer, in_words(error))]
    if isinstance(error, exceptions.ValidationError):
        flat = errors.flat(error)
        return [(found["pointer"], _(found["detail"])) for found in flat]
    return [("", _of_integrity(error))]


def _of_integrity(error: Any) -> str:
    state = getattr(getattr(error.__cause__, "diag", None), "sqlstate", "") or ""
    name = getattr(getattr(error.__cause__, "diag", None), "constraint_name", "") or ""
    if state == "23505":
        return _(
            "Something of this code, number or name is registered already. "
            "Choose another, or open what is there."
        )
    if state == "23P01":
        return _("This overlaps with what is registered for another time.")
    return _("This would break the rule: %s.") % name.replace("_", " ")
