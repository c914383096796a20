"""Mails to a contractor's people: in its language, from a template, for no machine."""

from collections.abc import Sequence
from typing import Any

from django.core.mail import EmailMessage
from django.template.loader import render_to_string


def send(
    *, subject: str, template: str, words: dict[str, Any], to: Sequence[str]
) -> None:
    """Send one mail in the language that is active.

    A mail server that does not answer is raised as OSError.
    """
    EmailMessage(
        subject=subject,
        body=render_to_string(template, words),
        to=list(to),
        # RFC 3834: no machine shall answer this.
        headers={"Auto-Submitted": "auto-generated"},
    ).send()


def one_line(text: str) -> str:
    """Return a name without line breaks, which a subject must not hold."""
    return " ".join(text.split())
