"""The contractor's people: listed, invited, changed, let go; and keys of devices."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.platform import naming
from fleet.platform.access.factors import standing
from fleet.platform.choices import Role
from fleet.platform.models import Membership, Person, Token
from fleet.platform.models.second_factor import FactorKind
from fleet.platform.pages import PageView
from fleet.platform.pages.forms import DayField, FormPage, NumberField, PageForm
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register import people
from fleet.register.models import Owner
from fleet.register.people import calling
from fleet.register.people.inviting import LONGEST_EMAIL, Invitee

_LONGEST_NAME = 150
_KEYS_SHOWN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownMember:
    """One of the contractor's people; `factor` says in words which kinds they have."""

    member: Membership
    owner: str
    factor: str


class People(PageView):
    """Everyone who works here, what they may do, and the keys of their devices."""

    template_name = "register/pages/people.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show people in the order of their names, those who left last."""
        rows = Membership.objects.within(self.scope)
        rows = rows.select_related("person", "contractor")
        rows = rows.prefetch_related("person__second_factors").order_by(
            "person__last_name", "person__first_name", "pk"
        )
        owners = dict(Owner.objects.within(self.scope).values_list("pk", "name"))
        found = [
            ShownMember(
                member=row, owner=owners.get(row.owner_id, ""), factor=_factor(row)
            )
            for row in rows
        ]
        keys = Token.objects.within(self.scope).select_related("membership__person")
        now = timezone.now()
        good = keys.filter(revoked_at=None, expires_at__gt=now).order_by("pk")
        return self.answer(
            context={
                "people": [p for p in found if p.member.deactivated_at is None],
                "left": [p for p in found if p.member.deactivated_at is not None],
                "keys": list(good[:_KEYS_SHOWN]),
                "calls": calling.to_call(scope=self.scope),
            }
        )


def _factor(member: Membership) -> str:
    """Say which second factors somebody has, nothing of what they hold."""
    kinds = standing.kinds_of(member)
    if kinds:
        return ", ".join(gettext(FactorKind(kind).label) for kind in kinds)
    return gettext("none, and asked for") if standing.is_required_of(member) else ""


class _WhoForm(PageForm):
    """What somebody is called and may do."""

    first_name = forms.CharField(
        label=gettext_lazy("First name"), max_length=_LONGEST_NAME, required=False
    )
    last_name = forms.CharField(
        label=gettext_lazy("Last name"), max_length=_LONGEST_NAME, required=False
    )
    role = forms.ChoiceField(label=gettext_lazy("Role"), choices=Role.choices)
    owner = forms.ModelChoiceField(
        label=gettext_lazy("Building owner"),
        queryset=Owner.objects.none(),
        required=False,
        help_text=gettext_lazy("Of an owner's reader, and of nobody else."),
    )


class InviteForm(_WhoForm):
    """Somebody who is to get a link by mail."""

    email = forms.EmailField(label=gettext_lazy("E-mail"), max_length=LONGEST_EMAIL)
    field_order = ("email",)


class PersonForm(_WhoForm):
    """Somebody who is here, with the competence to end a stop."""

    qualification = forms.CharField(
        label=gettext_lazy("Qualification"),
        max_length=200,
        required=False,
        help_text=gettext_lazy(
            "What makes the person competent to end a stop; empty: nothing."
        ),
    )
    competent_until = DayField(label=gettext_lazy("Valid until"), required=False)
    call_order = NumberField(
        label=gettext_lazy("Place on the list of those who hear of a stop"),
        required=False,
        whole=True,
        least=1,
        most=99,
        help_text=gettext_lazy("One by one, until somebody has said to have heard."),
    )


class _PeoplePage(FormPage):
    """A page about people: only for who has just shown who they are."""

    confirms = True

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the contractor's own owners."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        if "owner" in fields:
            fields["owner"].queryset = Owner.objects.within(self.scope)
        return form

    def words(self, row: Any) -> dict[str, Any]:
        """Return the way back."""
        return {"back": reverse("people")}


class Invite(_PeoplePage):
    """Invite somebody; the link is mailed."""

    form_class = InviteForm
    heading = gettext_lazy("Invite somebody")

    def do(self, form: Any, row: Any) -> str:
        """Store the invitation and have the link sent."""
        given = form.cleaned_data
        owner = given["owner"]
        _, job_ids = people.invite(
            contractor_id=self.scope.contractor_id,
            invitation=Invitee(
                email=given["email"],
                role=given["role"],
                first_name=given["first_name"],
                last_name=given["last_name"],
                owner_id=owner.pk if owner else None,
            ),
            at=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=job_ids, kind=people.SEND_LINK)
        said = gettext("Invited. A link goes to %s; it is good for a week.")
        messages.info(self.request, said % given["email"])
        return reverse("people")


def named(person: Person) -> str:
    """Return the name; without one the address, which the list of people shows too."""
    return person.get_full_name() or person.email or naming.called(person)


class OfPerson(_PeoplePage):
    """A page about one of the contractor's people."""

    def row(self) -> Any:
        """Return the person's membership."""
        rows = Membership.objects.within(self.scope).select_related("person")
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found


class PersonPage(OfPerson):
    """What somebody may do, is competent for, and when they hear of a stop."""

    form_class = PersonForm
    template_name = "register/pages/person.html"

    def words(self, row: Any) -> dict[str, Any]:
        """Return who it is."""
        own = row.pk == self.scope.membership_id
        return {
            **super().words(row),
            "heading": named(row.person),
            "member": row,
            "is_own": own,
        }

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands there."""
        own = ("role", "qualification", "competent_until", "call_order")
        return {
            "first_name": row.person.first_name,
            "last_name": row.person.last_name,
            "owner": row.owner_id,
            **{name: getattr(row, name) for name in own},
        }

    def do(self, form: Any, row: Any) -> str:
        """Store what was changed, by the activity that the API calls."""
        fields = form.changed_values()
        if "owner" in fields:
            owner = fields.pop("owner")
            fields["owner_id"] = owner.pk if owner else None
        people.change(scope=self.scope, membership=row, fields=fields)
        messages.info(self.request, gettext("Kept."))
        return reverse("people")
