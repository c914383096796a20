"""What is done about one of the contractor's people, after it was asked once."""

from typing import Any

from django.contrib import messages
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy

from fleet.platform.pages.forms import PageForm
from fleet.platform.queue import tasks
from fleet.register import people
from fleet.register.pages.people import OfPerson


class ActForm(PageForm):
    """Nothing to fill in: only to be sent."""


class _ActOnPerson(OfPerson):
    """Ask once, then do it."""

    form_class = ActForm
    lead: Any = ""
    button: Any = ""
    done: Any = ""

    def words(self, row: Any) -> dict[str, Any]:
        """Return what is asked, and of whom."""
        person = row.person
        name = person.get_full_name() or person.email or person.get_username()
        return {
            **super().words(row),
            "lead": str(self.lead) % {"name": name},
            "button": self.button,
        }

    def do(self, form: Any, row: Any) -> str:
        """Do it and lead back to the list."""
        self.act_on(row)
        messages.info(self.request, str(self.done))
        return reverse("people")

    def act_on(self, row: Any) -> None:
        """Do what the page is there for."""
        raise NotImplementedError


class LetGo(_ActOnPerson):
    """End what somebody may do."""

    heading = gettext_lazy("Let somebody go")
    lead = gettext_lazy(
        "%(name)s is logged out everywhere; keys of devices and secret addresses end "
        "at once. What was done stays on record."
    )
    button = gettext_lazy("Let go")
    done = gettext_lazy("Ended: sessions, keys and addresses.")

    def act_on(self, row: Any) -> None:
        """End it."""
        people.deactivate(scope=self.scope, membership=row, at=timezone.now())


class TakeBack(_ActOnPerson):
    """Let somebody work again."""

    heading = gettext_lazy("Take somebody back")
    lead = gettext_lazy(
        "%(name)s can log in again with the old password; old keys stay ended."
    )
    button = gettext_lazy("Take back")
    done = gettext_lazy("Taken back.")

    def act_on(self, row: Any) -> None:
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

    def act_on(self, row: Any) -> None:
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

    def act_on(self, row: Any) -> None:
        """Have it sent."""
        ids = people.send_again(membership=row, at=timezone.now())
        tasks.wake_after_commit(job_ids=list(ids), kind=people.SEND_LINK)
