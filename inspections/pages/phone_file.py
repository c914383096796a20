"""The last resort of a phone: a file of what it could not send, taken in here."""

import hashlib
from typing import Any

from django import forms
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.template.defaultfilters import filesizeformat
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy
from rest_framework import exceptions

from fleet.platform.api.parsers import strict_json
from fleet.platform.pages.forms import FormPage, PageForm, Refused
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections import intake
from inspections.assessment import at_once
from inspections.intake.accepting import ASSESS
from inspections.models import Reading, Upload
from inspections.pages.base import VerdictPage
from inspections.pages.taken import NOT_TAKEN

_HEADING = gettext_lazy("A file from a phone")


class PhoneFileForm(PageForm):
    """The file that a phone has saved."""

    file = forms.FileField(
        label=gettext_lazy("File of readings"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )

    def clean_file(self) -> bytes:
        """Return the file's bytes."""
        file = self.cleaned_data["file"]
        if file.size > settings.UPLOAD_MAX_BYTES:
            said = gettext("At most %s.")
            raise forms.ValidationError(
                said % filesizeformat(settings.UPLOAD_MAX_BYTES)
            )
        content: bytes = file.read()
        return content


class PhoneFile(FormPage):
    """Take in a file by the one door for readings; the same file twice does nothing."""

    form_class = PhoneFileForm
    heading = _HEADING

    def words(self, row: Any) -> dict[str, Any]:
        """Return what the file is, and the way back."""
        return {
            "lead": gettext(
                "A phone that can send nothing saves what it keeps as a file. Each "
                "reading is taken in once, by whatever way it comes."
            ),
            "button": gettext("Take it in"),
            "back": reverse("phones"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Take it in as an upload."""
        content, now = form.cleaned_data["file"], timezone.now()
        try:
            body = strict_json(content, finite=False)
        except exceptions.ParseError as error:
            raise Refused(
                gettext("This is no file that a phone has saved."), field="file"
            ) from error
        accepted = intake.accept(
            scope=self.scope,
            body=body,
            fingerprint=hashlib.sha256(content).hexdigest(),
            key=None,
            received_at=now,
            most=settings.UPLOAD_MAX_READINGS,
            judged=at_once.stopping,
        )
        tasks.wake_after_commit(job_ids=accepted.job_ids, kind=ASSESS)
        return reverse("phone-file-told", args=(accepted.answer["upload"],))


class PhoneFileTold(VerdictPage):
    """What became of each reading of an upload."""

    template_name = "inspections/pages/phone_file_told.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show those first that were not taken."""
        row = Upload.objects.within(self.scope).filter(pk=pk).first()
        if row is None:
            raise Http404
        told = (row.answer or {}).get("readings", [])
        # One that came before, by another way, is of another upload.
        named = [each["reference"] for each in told]
        rows = Reading.objects.within(self.scope).filter(reference__in=named)
        rows = rows.select_related("machine", "groove", "rope")
        known = {each.reference: each for each in rows}
        lines = [each | {"reading": known.get(each["reference"])} for each in told]
        lines.sort(key=lambda each: each["outcome"] not in NOT_TAKEN)
        return self.answer(
            context={
                "heading": _HEADING,
                "lines": lines,
                "refused": sum(each["outcome"] in NOT_TAKEN for each in told),
                "told": row.answer or {},
            }
        )
