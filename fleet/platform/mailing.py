"""Hand one mail to the mail server, and read what it answered."""

import logging
import smtplib
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum

from django.conf import settings
from django.core.mail import EmailMessage, get_connection

logger = logging.getLogger(__name__)

_LONGEST_ANSWER = 300
# Without one, a server that falls silent would hold the worker for ever.
_TIMEOUT_S = 30
# "Exceeded storage allocation" at RCPT is to be taken as a passing state
# (RFC 5321, 4.5.3.1.10).
_MAILBOX_FULL = 552


class Result(StrEnum):
    """What became of one try."""

    TAKEN = "TAKEN"
    # Try again: the server is away, asks for patience, or its answer was lost.
    LATER = "LATER"
    # The address is refused for good.
    REFUSED = "REFUSED"
    # The mail is refused for good, whoever it is for.
    FAILED = "FAILED"


@dataclass(frozen=True, slots=True, kw_only=True)
class MailResult:
    """The result of one try, with the server's own words."""

    result: Result
    said: str = ""


def send(*, message: EmailMessage) -> MailResult:
    """Send a mail with one recipient by Django's mail backend; never raises for mail.

    A connection that breaks counts as "later", although the server may have taken
    the mail already: it is sent again under the same Message-ID.
    """
    connection = get_connection(timeout=settings.EMAIL_TIMEOUT or _TIMEOUT_S)
    try:
        connection.open()
        taken = connection.send_messages([message])
    except Exception as error:
        answer = _answer_of(error)
        logger.warning("mail %s: %s", answer.result.lower(), answer.said[:120])
        return answer
    finally:
        # What was taken stays taken, whatever happens at the goodbye.
        with suppress(Exception):
            connection.close()
    if not taken:
        return MailResult(result=Result.LATER, said="the mail backend sent nothing")
    return MailResult(result=Result.TAKEN, said="taken")


def _answer_of(error: Exception) -> MailResult:
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, text = next(iter(error.recipients.values()))
        return _by_code(code, text, final=Result.REFUSED)
    if isinstance(error, (smtplib.SMTPSenderRefused, smtplib.SMTPAuthenticationError)):
        # Our own sender or login is wrong: the office can mend that, so it waits.
        return _by_code(error.smtp_code, error.smtp_error, final=Result.LATER)
    if isinstance(error, smtplib.SMTPDataError):
        return _by_code(error.smtp_code, error.smtp_error, final=Result.FAILED)
    if isinstance(error, smtplib.SMTPNotSupportedError):
        return MailResult(result=Result.FAILED, said=_cut(str(error)))
    if isinstance(error, smtplib.SMTPResponseException):
        return _by_code(error.smtp_code, error.smtp_error, final=Result.LATER)
    if isinstance(error, OSError):
        # Refused, timed out, or broken off; smtplib's own errors are OSErrors too.
        return MailResult(
            result=Result.LATER, said=_cut(f"{type(error).__name__}: {error}")
        )
    if isinstance(error, ValueError):
        # A header that would hold a line break, or text that cannot be encoded.
        return MailResult(result=Result.FAILED, said=_cut(str(error)))
    raise error


def _by_code(code: int, text: bytes | str, *, final: Result) -> MailResult:
    words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    said = _cut(f"{code} {words}")
    is_passing = 400 <= code < 500 or (
        code == _MAILBOX_FULL and final == Result.REFUSED
    )
    return MailResult(result=Result.LATER if is_passing else final, said=said)


def _cut(text: str) -> str:
    return " ".join(text.replace("\x00", "").split())[:_LONGEST_ANSWER]
