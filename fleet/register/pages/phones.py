"""Phones: those that are paired, and the code by which another is."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from fleet.platform import security_log
from fleet.platform.access import pairing, phones, sessions
from fleet.platform.api import confirming
from fleet.platform.models import Membership
from fleet.platform.pages import PageView
from fleet.platform.visibility.acts import BRING_IN, CHANGE, READ_AS_OFFICE

_CLOCK_MAY_BE_OFF_S = 300


class Phones(PageView):
    """Every phone that was paired: when it was seen, what it has not sent yet."""

    template_name = "register/pages/phones.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show those that still send first."""
        now = timezone.now()
        found = [
            {
                "phone": phone,
                "key": phone.token,
                "clock_is_off": is_off(phone.clock_offset_s),
                "clock_minutes": round(abs(phone.clock_offset_s or 0.0) / 60),
                "is_over": phone.token.expires_at <= now,
            }
            for phone in phones.listed(scope=self.scope)
        ]
        return self.answer(context={"phones": found})


def is_off(offset_s: float | None) -> bool:
    """Tell whether a phone's clock was wrong enough to speak of it."""
    return abs(offset_s or 0.0) > _CLOCK_MAY_BE_OFF_S


class PairOwn(PageView):
    """Say how a phone is paired and, when asked, show a code for one's own.

    The code is in the answer alone, so that no address, log or session holds it; asked
    for again, there is another and this one ends.
    """

    template_name = "register/pages/pair_phone.html"
    act = BRING_IN
    http_method_names = ["get", "head", "post"]

    def member(self) -> Membership:
        """Return whose phone it is to be. Raises Http404."""
        rows = Membership.objects.within(self.scope).select_related("person")
        found = rows.filter(pk=self.kwargs.get("pk", self.scope.membership_id)).first()
        if found is None:
            raise Http404
        return found

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Show how it is done."""
        return self._shown(self.member())

    def post(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Make a code and show it, to who has just shown who they are."""
        member = self.member()
        if not confirming.is_fresh(request):
            query = urlencode({"next": request.path})
            return HttpResponseRedirect(f"{reverse('confirm')}?{query}")
        try:
            shown = pairing.show_code(
                membership=member,
                made_by=self.scope.membership_id or 0,
                with_factor=sessions.has_shown_factor(request),
                at=timezone.now(),
            )
        except pairing.NotPaired:
            return self._shown(member, status=409, refused=True)
        security_log.tell("pairing-code-shown", membership=member.pk)
        return self._shown(member, shown=shown)

    def _shown(
        self, member: Membership, *, status: int = 200, **more: Any
    ) -> HttpResponse:
        address = self.request.build_absolute_uri(reverse("field"))
        return self.answer(
            context={
                "member": member,
                "is_own": member.pk == self.scope.membership_id,
                "takes_readings": member.role in pairing.ROLES and member.is_usable(),
                "address": address,
                "is_secure": self.request.is_secure(),
                **more,
            },
            status=status,
        )


class PairTheirs(PairOwn):
    """The same for one of the contractor's people, by the office."""

    act = CHANGE
