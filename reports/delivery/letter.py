"""The mail that brings a report: text and HTML, with the file or a link to it."""

import hashlib
import re
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils import formats, translation
from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from fleet.platform.outbox import Undeliverable
from reports import content, overtaken
from reports.delivery import links
from reports.models import Delivery, DeliveryState, Report

# A mail grows by a third when its attachment is encoded, and many servers take
# 10 MB; common practice, no source.
ATTACH_AT_MOST_BYTES = 6_000_000
# A subject names so many machines out of service; the document has them all.
_MOST_NAMED = 5


def compose(*, mail: Delivery, now: datetime) -> EmailMultiAlternatives:
    """Return the mail of a delivery. Raises Undeliverable."""
    report = mail.report
    if report.owner is not None and report.owner.retired_on is not None:
        raise Undeliverable(
            "the owner is no longer looked after", state=DeliveryState.CANCELLED
        )
    if links.has_left(mail):
        raise Undeliverable("its reader has left", state=DeliveryState.CANCELLED)
    _check_still_so(report)
    drawn = _stored(report)
    is_attached = len(drawn) <= ATTACH_AT_MOST_BYTES or not links.base_address()
    with translation.override(report.language):
        words = _words(report)
        if not is_attached:
            words["link"] = links.make_link(delivery=mail, now=now)
            words["link_until"] = _day(mail.link_until)
        message = EmailMultiAlternatives(
            subject=_one_line(words["subject"], field="the subject"),
            body=render_to_string("reports/mail.txt", words),
            to=[mail.address],
            headers={
                "Message-ID": mail.message_id,
                # RFC 3834: no machine shall answer this.
                "Auto-Submitted": "auto-generated",
            },
        )
        message.attach_alternative(
            render_to_string("reports/mail.html", words), "text/html"
        )
    if is_attached:
        name = f"{report.number}-r{report.revision}.pdf"
        message.attach(name, drawn, "application/pdf")
    return message


def _check_still_so(report: Report) -> None:
    """Raise Undeliverable where it is no news any more: mails wait for up to days."""
    scope = Scope(contractor_id=report.contractor_id)
    found = overtaken.of(scope=scope, report=report)
    if not found.may_be_mailed:
        raise Undeliverable(f"not sent: {found.in_words}")


def _stored(report: Report) -> bytes:
    """Return the stored file, whole. Raises Undeliverable."""
    try:
        with report.file.open("rb") as file:
            drawn: bytes = file.read()
    except FileNotFoundError as error:
        raise Undeliverable("the report's file is missing") from error
    if hashlib.sha256(drawn).hexdigest() != report.file_sha256:
        raise Undeliverable("the report's file is not the one that was stored")
    return drawn


def _words(report: Report) -> dict[str, Any]:
    frozen = content.from_plain(report.content)
    masthead = frozen.masthead
    subject = _("%(kind)s: %(place)s, %(period)s") % {
        "kind": masthead.kind,
        "place": masthead.place.name,
        "period": masthead.period,
    }
    stopped = getattr(frozen, "out_of_service", ())
    if stopped:
        machines = ", ".join(one.code for one in stopped[:_MOST_NAMED])
        subject = _("OUT OF SERVICE: %(machines)s. %(subject)s") % {
            "machines": machines + (" ..." if len(stopped) > _MOST_NAMED else ""),
            "subject": subject,
        }
    return {
        "subject": subject,
        "stopped": [_stopped(one) for one in stopped],
        "masthead": masthead,
        "language": report.language,
        "headline": _headline(frozen),
        "to_decide": list(_to_decide(frozen)),
        "call": getattr(getattr(frozen, "summary", None), "call", ""),
        "cautions": [c.text for c in masthead.cautions if c.on_first_page],
        "sender": settings.DEFAULT_FROM_EMAIL,
    }


def _stopped(one: content.OutOfService) -> dict[str, Any]:
    """Return what a mail says first of a machine that must not run."""
    facts = dict.fromkeys(
        f"{row.label}: {row.value}" for stop in one.stops for row in stop.facts
    )
    causes = "; ".join(stop.cause.rstrip(".") for stop in one.stops)
    return {"first": f"{one.heading}: {one.machine}. {causes}.", "facts": list(facts)}


def _headline(frozen: content.Content) -> str:
    if isinstance(frozen, content.ConditionReport):
        return frozen.summary.headline
    if isinstance(frozen, content.PortfolioReview):
        return frozen.headline
    if isinstance(frozen, content.ReturnToService):
        return frozen.summary
    return ""


def _to_decide(frozen: content.Content) -> Iterator[str]:
    """Yield what the owner has to answer, and by when."""
    if isinstance(frozen, content.ConditionReport):
        for one in frozen.summary.decisions[:_MOST_NAMED]:
            by = f" ({frozen.wording.answer_by}: {one.answer_by})"
            yield f"{one.machine}: {one.matter}{by if one.answer_by else ''}"


def _one_line(text: str, *, field: str) -> str:
    """Return text that can stand in a header. Raises Undeliverable."""
    if re.search(r"[\x00-\x1f\x7f\x85\u2028\u2029]", text):
        raise Undeliverable(f"{field} holds a line break or another control character")
    return text


def _day(moment: datetime | None) -> str:
    return formats.date_format(moment, "DATE_FORMAT") if moment else ""
