"""What is done about one of the contractor's people, after it was asked once."""

from typing import Any

from django.contrib import messages
from django.utils import timezone
from django.utils.translation import gettext_lazy, ngettext

from fleet.platform.access import phones
from fleet.platform.pages.forms import AskOnce
from fleet.platform.queue import tasks
from fleet.register import people
from fleet.register.pages.people import OfPerson, named


class _ActOnPerson(AskOnce, OfPerson):
    """Ask once, then do it; back to the list of people."""

    back = "people"

    def names(self, row: Any) -> dict[str, str]:
        """Return whom it is about."""
        return {"name": named(row.person)}


def _unsent(count: int) -> str:
    """Say how many readings are on somebody's phones alone; "" where none is known."""
    if not count:
        return ""
    said = ngettext(
        "%(n)s reading was not sent when the phone was last seen: have it sent before, "
        "or saved there as a file that the office takes in.",
        "%(n)s readings were not sent when the phone was last seen: have them sent "
        "before, or saved there as a file that the office takes in.",
        count,
    )
    return said % {"n": count}


class LetGo(_ActOnPerson):
    """End what somebody may do."""

    heading = gettext_lazy("Let somebody go")
    lead = gettext_lazy(
        "%(name)s is logged out everywhere; keys of devices and secret addresses end "
        "at once. What was done stays on record."
    )
    button = gettext_lazy("Let go")
    done = gettext_lazy("Ended: sessions, keys and addresses.")

    def words(self, row: Any) -> dict[str, Any]:
        """Say too what is on the person's phones alone."""
        found = super().words(row)
        said = _unsent(phones.unsent_of(membership=row))
        return {**found, "lead": " ".join(filter(None, (found["lead"], said)))}

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """End it; what the phones have not sent is told again, now that they cannot."""
        said = _unsent(phones.unsent_of(membership=row))
        if said:
            messages.warning(self.request, said)
        people.deactivate(scope=self.scope, membership=row, at=timezone.now())


class TakeBack(_ActOnPerson):
    """Let somebody work again."""

    heading = gettext_lazy("Take somebody back")
    lead = gettext_lazy(
        "%(name)s can log in again with the old password; old keys stay ended."
    )
    button = gettext_lazy("Take back")
    done = gettext_lazy("Taken back.")

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Let them work again."""
        people.reactivate(scope=self.scope, membership=row)


class ResetFactor(_ActOnPerson):
    """Take all second factors of somebody away, who has lost them."""

    heading = gettext_lazy("Reset the second factor")
    lead = gettext_lazy(
        "Make sure first that it is %(name)s who asks: afterwards the password alone "
        "lets them set up a new one. Their sessions end, and a mail tells them."
    )
    button = gettext_lazy("Reset it")
    done = gettext_lazy("Reset. A mail tells the person.")

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Reset it."""
        people.reset_factor(scope=self.scope, membership=row, at=timezone.now())


class SendLink(_ActOnPerson):
    """Mail a new link to set a password."""

    heading = gettext_lazy("Send a new link")
    lead = gettext_lazy(
        "%(name)s gets a link to set a password; links sent before are void."
    )
    button = gettext_lazy("Send it")
    done = gettext_lazy("A new link is on its way.")

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Have it sent."""
        ids = people.send_again(membership=row, at=timezone.now())
        tasks.wake_after_commit(job_ids=list(ids), kind=people.SEND_LINK)
