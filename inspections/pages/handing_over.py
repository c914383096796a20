"""Machines that go to another contractor's house, or come from one."""

import tempfile
from contextlib import ExitStack
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase, HttpResponseRedirect
from django.template.defaultfilters import filesizeformat
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext, gettext_lazy

from fleet.models import Building, Machine
from fleet.platform.api.confirming import is_fresh
from fleet.platform.errors import DomainError
from fleet.platform.pages.forms import AskOnce, DayField, FormPage, PageForm, Refused
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections import handover
from inspections.handover.taking import CodeTaken
from inspections.models import HandOver
from inspections.pages.base import VerdictForm, VerdictPage

_MOST = 200
_IN_MEMORY_BYTES = 2_000_000
_LONGEST_CODE = 50


class HandOvers(VerdictPage):
    """Hand-overs in both directions, the newest first."""

    template_name = "inspections/pages/hand_overs.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show them, each with what can be done about it now."""
        return self.listed()

    def listed(self, *, error: str = "") -> HttpResponse:
        """Return the list, with why something was not done."""
        rows = HandOver.objects.within(self.scope).select_related("machine")
        context = {"rows": list(rows.order_by("-pk")[:_MOST]), "error": error}
        return self.answer(context=context, status=409 if error else 200)


class OfferForm(PageForm):
    """To which house, and the owner's word that it rests on."""

    house = forms.CharField(
        label=gettext_lazy("The other contractor"),
        max_length=200,
    )
    word_by = forms.CharField(
        label=gettext_lazy("Who gave the owner's word"), max_length=200
    )
    word_on = DayField(label=gettext_lazy("On which day"))
    words = forms.CharField(
        label=gettext_lazy("What was said, or where it is kept"),
        max_length=1000,
        widget=forms.Textarea,
    )


class OfferMachine(VerdictForm):
    """Record the owner's word; nothing changes for the machine by it."""

    form_class = OfferForm
    heading = gettext_lazy("Hand a machine over")
    confirms = True

    def machine(self) -> Machine:
        """Return the machine that the address names."""
        rows = Machine.objects.within(self.scope).filter(pk=self.kwargs["pk"])
        found: Machine | None = rows.select_related("building").first()
        if found is None:
            raise Http404
        return found

    def row(self) -> Any:
        """Return None: an offer is new; what is not there is not offered."""
        self.about = self.machine()

    def words(self, row: Any) -> dict[str, Any]:
        """Return which machine it is of, and the way back."""
        return {
            "about": self.about,
            "button": gettext("Offer it"),
            "back": reverse("machine", args=(self.about.pk,)),
        }

    def do(self, form: Any, row: Any) -> str:
        """Offer it as the API does."""
        handover.offer(scope=self.scope, machine_id=self.about.pk, **form.cleaned_data)
        said = gettext("Offered. Fetch the file and give it to the other contractor.")
        messages.info(self.request, said)
        return reverse("hand-overs")


class HandOverFile(HandOvers):
    """The file of an offer; whoever takes it has just shown who they are."""

    def get(  # type: ignore[override]
        self, request: HttpRequest, pk: int
    ) -> HttpResponseBase:
        """Return all that goes along, as it stands now."""
        if not is_fresh(request):
            query = urlencode({"next": request.get_full_path()})
            return HttpResponseRedirect(f"{reverse('confirm')}?{query}")
        found = HandOver.objects.within(self.scope).filter(pk=pk).first()
        if found is None:
            raise Http404
        with ExitStack() as closing:
            target = closing.enter_context(
                tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)
            )
            try:
                handover.pack(
                    scope=self.scope,
                    hand_over_id=pk,
                    now=timezone.now(),
                    target=target,
                )
            except DomainError as error:
                return self.listed(error=gettext(error.detail))
            closing.pop_all()
        target.seek(0)
        answer = FileResponse(
            target, filename=f"hand-over-{found.number}.zip", as_attachment=True
        )
        answer["Cache-Control"] = "no-store"
        return answer


class _EndOffer(AskOnce):
    """Ask once, then do it; back to the list of hand-overs."""

    confirms = True
    back = "hand-overs"

    def row(self) -> Any:
        """Return the hand-over."""
        rows = HandOver.objects.within(self.scope).select_related("machine")
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def names(self, row: Any) -> dict[str, str]:
        """Return which machine goes, and where."""
        return {"machine": row.machine.code, "house": row.house}


class ReceiptForm(PageForm):
    """What the other house said when it had taken the file."""

    receipt = forms.CharField(
        label=gettext_lazy("Receipt"),
        max_length=40,
        help_text=gettext_lazy(
            "The other contractor sees it after taking the file: three groups of four "
            "letters and digits."
        ),
    )


class CloseHandOver(_EndOffer):
    """Give the machine for good."""

    form_class = ReceiptForm
    heading = gettext_lazy("Give the machine for good")
    lead = gettext_lazy(
        "By the receipt of %(house)s for the file that was taken: %(machine)s is "
        "retired here, its open stops end with it, and its history can still be read."
    )
    button = gettext_lazy("Give it")
    done = gettext_lazy("Given. The machine is retired here.")

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Give it."""
        handover.close(
            scope=self.scope,
            hand_over_id=row.pk,
            receipt=typed["receipt"],
            now=timezone.now(),
        )


class WithdrawHandOver(_EndOffer):
    """Take an offer back."""

    heading = gettext_lazy("Take the offer back")
    lead = gettext_lazy(
        "%(machine)s stays here as it is. Tell %(house)s not to take the file."
    )
    button = gettext_lazy("Take it back")
    done = gettext_lazy("The offer is taken back.")

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Take it back."""
        handover.withdraw(scope=self.scope, hand_over_id=row.pk, now=timezone.now())


class TakeForm(PageForm):
    """The file of the other house, and where the machine stands here."""

    file = forms.FileField(
        label=gettext_lazy("The other contractor's file (ZIP)"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".zip,application/zip"}),
    )
    building = forms.ModelChoiceField(
        label=gettext_lazy("Building"), queryset=Building.objects.none()
    )
    code = forms.CharField(
        label=gettext_lazy("Code of the machine here"),
        max_length=_LONGEST_CODE,
        required=False,
        help_text=gettext_lazy("Empty: as it was called there."),
    )


class TakeMachine(FormPage):
    """Take a machine with all its history, whole or not at all."""

    form_class = TakeForm
    heading = gettext_lazy("Take a machine")
    confirms = True

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the contractor's own buildings, and say how large a file may be."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        fields["building"].queryset = Building.objects.within(self.scope).filter(
            retired_on=None
        )
        fields["file"].help_text = gettext(
            "At most %s; the server's administrator takes larger ones."
        ) % filesizeformat(settings.UPLOAD_MAX_BYTES)
        return form

    def words(self, row: Any) -> dict[str, Any]:
        """Return the way back."""
        return {"button": gettext("Take it"), "back": reverse("hand-overs")}

    def do(self, form: Any, row: Any) -> str:
        """Take it as the API does."""
        given = form.cleaned_data
        try:
            taken = handover.take(
                scope=self.scope,
                file=given["file"],
                building_id=given["building"].pk,
                code=given["code"],
                now=timezone.now(),
            )
        except CodeTaken as error:
            raise Refused(gettext(error.detail), field="code") from error
        tasks.wake_after_commit(job_ids=taken.job_ids, kind=handover.ASSESS)
        if taken.repeated:
            said = gettext("This file was taken before; nothing was stored again.")
        else:
            said = gettext("Taken. The machine is judged anew by its building's rules.")
        told = gettext("Tell the other contractor the receipt: %s.")
        said = f"{said} {told % taken.hand_over.receipt}"
        messages.info(self.request, said)
        return reverse("machine", args=(taken.hand_over.machine_id,))
