"""Owners and buildings that are no longer looked after, and those that come back."""

from typing import Any

from django.contrib import messages
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy, ngettext

from fleet.platform.pages.forms import DayField, FormPage, PageForm, Refused
from fleet.register.api import serializers
from fleet.register.models import Building, Machine, Owner
from fleet.register.pages import writing


class RetireForm(PageForm):
    """Since when somebody or something is no longer looked after."""

    retired_on = DayField(
        label=gettext_lazy("No longer looked after since"),
        required=False,
        help_text=gettext_lazy("Left empty: it is looked after again."),
    )


class RetirePage(FormPage):
    """Nothing is deleted: what was read and sent stays, and it can be taken back."""

    form_class = RetireForm
    model: type[Any]
    serializer: type[Any]

    def row(self) -> Any:
        """Return the row that the address names."""
        rows = self.model.objects.within(self.scope)
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row: Any) -> dict[str, Any]:
        """Return the day that stands there."""
        return {"retired_on": row.retired_on}

    def words(self, row: Any) -> dict[str, Any]:
        """Return what follows, and where one goes back to."""
        return {"lead": self.follows(row), "back": self.back(row)}

    def follows(self, row: Any) -> str:
        """Return what follows from the day."""
        raise NotImplementedError

    def back(self, row: Any) -> str:
        """Return the address of the row's own page."""
        raise NotImplementedError

    def do(self, form: Any, row: Any) -> str:
        """Store the day by the rules of the API."""
        day = form.cleaned_data["retired_on"]
        if day is not None and day > timezone.localdate():
            # A day counts from when it is stored: one to come would end it today.
            raise Refused(
                gettext("This day is to come. Say it when it has come."),
                field="retired_on",
            )
        writing.write(
            request=self.request,
            serializer=self.serializer,
            fields={"retired_on": day},
            row=row,
        )
        messages.info(self.request, gettext("Kept."))
        return self.back(row)

    def machines_there(self, **where: Any) -> str:
        """Return how many machines in service stay in service."""
        rows = Machine.objects.within(self.scope).filter(retired_on=None, **where)
        count = rows.count()
        if not count:
            return ""
        return ngettext(
            "%(n)s machine in service stands there and stays in service: retire it by "
            "itself.",
            "%(n)s machines in service stand there and stay in service: retire each by "
            "itself.",
            count,
        ) % {"n": count}


class RetireOwner(RetirePage):
    """An owner whose buildings somebody else looks after."""

    model = Owner
    serializer = serializers.OwnerSerializer
    heading = gettext_lazy("Retire a building owner")

    def follows(self, row: Any) -> str:
        said = gettext(
            "%(name)s: the owner's readers cannot log in any more, and calendars for "
            "the owner end. Reports and readings stay."
        ) % {"name": row.name}
        return f"{said} {self.machines_there(building__owner=row)}".strip()

    def back(self, row: Any) -> str:
        return reverse("owner", args=(row.pk,))


class RetireBuilding(RetirePage):
    """A building that is no longer looked after."""

    model = Building
    serializer = serializers.BuildingSerializer
    heading = gettext_lazy("Retire a building")

    def follows(self, row: Any) -> str:
        said = gettext(
            "%(name)s: no machine is set up there any more. Reports and readings stay."
        ) % {"name": row.name}
        return f"{said} {self.machines_there(building=row)}".strip()

    def back(self, row: Any) -> str:
        return reverse("building", args=(row.pk,))
