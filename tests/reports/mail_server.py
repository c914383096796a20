"""A real SMTP server on a free port, which answers as the test wants."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP


# Without slots: Python 3.11.2 lists no members of an object that has them, as aiosmtpd
# asks for (Debian 12 brings that version).
@dataclass(kw_only=True)
class MailServer:
    """What the server shall answer, and what it has taken.

    `recipient_answers` maps an address to answers that are used up one by one;
    when none is left the address is taken. `dies_after_data` counts mails that are
    taken, and then the line goes dead before the answer.
    """

    recipient_answers: dict[str, list[str]] = field(default_factory=dict)
    data_answers: list[str] = field(default_factory=list)
    dies_after_data: int = 0
    taken: list[tuple[str, bytes]] = field(default_factory=list)
    port: int = 0

    async def handle_RCPT(
        self, server: SMTP, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        answers = self.recipient_answers.get(address, [])
        if answers:
            return answers.pop(0)
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Any, envelope: Any) -> str:
        if self.data_answers:
            return self.data_answers.pop(0)
        for address in envelope.rcpt_tos:
            self.taken.append((address, envelope.content))
        if self.dies_after_data:
            self.dies_after_data -= 1
            server.transport.abort()
        return "250 taken"

    def mails(self) -> list[EmailMessage]:
        """Return what was taken, as a reader's program would read it."""
        return [
            message_from_bytes(raw, policy=policy.default)  # type: ignore[misc]
            for _address, raw in self.taken
        ]

    def times_taken(self) -> Counter[tuple[str, str]]:
        """Return how often each mail was taken, by address and Message-ID."""
        return Counter(
            (address, str(mail["Message-ID"]))
            for (address, _raw), mail in zip(self.taken, self.mails(), strict=True)
        )


class _AnyPort(Controller):
    """A controller that looks for itself at the port it was given."""

    def _trigger_server(self) -> None:
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


@contextmanager
def running(*, port: int = 0) -> Iterator[MailServer]:
    """Serve inside the block."""
    found = MailServer()
    controller = _AnyPort(
        found, hostname="127.0.0.1", port=port, ready_timeout=10, data_size_limit=10**8
    )
    controller.start()
    try:
        found.port = controller.port
        yield found
    finally:
        controller.stop()
