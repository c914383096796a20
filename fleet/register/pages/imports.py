"""Files brought in: first every row's outcome, then all of it or nothing."""

import base64
import hashlib
import json
from dataclasses import asdict
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.choices import JobState
from fleet.platform.pages.forms import FormPage, PageForm, Refused, marks, refusals
from fleet.platform.queue import tasks
from fleet.register.exchange import dialect, import_jobs
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.import_jobs import BroughtIn, Given
from fleet.register.models import ImportFile
from fleet.register.pages import faults
from fleet.register.pages.import_forms import WHAT, AgainForm, FileForm, StoreForm

_LISTED = 20


class Imports(FormPage):
    """Choose a file and see what it would do; nothing is stored by it."""

    form_class = FileForm
    heading = gettext_lazy("Imports")
    template_name = "register/pages/imports.html"

    def words(self, row: Any) -> dict[str, Any]:
        """Return the long files that are on their way or were answered lately."""
        rows = ImportFile.objects.within(self.scope).defer("content", "answer")
        files = list(rows.order_by("-pk")[:_LISTED])
        return {
            "files": files,
            "waits": any(self._waits(each) for each in files),
            "button": gettext("See what it would do"),
        }

    @staticmethod
    def _waits(file: ImportFile) -> bool:
        """Return whether a worker will still change what is said of a file."""
        if file.finished_at is not None:
            return False
        job = import_jobs.job_of(file)
        return job is not None and job.state != JobState.FAILED

    def post(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Look at the file; a look does nothing, however often it is taken."""
        form = self.form(None, data=request.POST, files=request.FILES)
        if not form.is_valid():
            return self.show(form, None, status=400)
        given = form.cleaned_data
        try:
            written = {n: given[n] for n in ("delimiter", "decimal_mark", "dates")}
            asked = Given(
                name=given["name"],
                content=given["file"].read(),
                dialect=dialect.declared(encoding=given["encoding"], **written),
                dry_run=True,
            )
            if import_jobs.is_long(asked.content):
                return HttpResponseRedirect(self.leave_to_worker(asked))
            with transaction.atomic():
                found = _bring_in(asked, scope=self.scope)
        except refusals.TAKEN as error:
            refusals.note(form, error)
            return self.show(form, None, status=400)
        return self._looked_at(asked, found)

    def leave_to_worker(self, asked: Given) -> str:
        """Queue a long file; return where one is told of it."""
        row, ids = import_jobs.ask(scope=self.scope, given=asked, now=timezone.now())
        tasks.wake_after_commit(job_ids=ids, kind=import_jobs.BRING_IN)
        return reverse("import", args=(row.pk,))

    def _looked_at(self, asked: Given, found: BroughtIn) -> HttpResponse:
        store = StoreForm(
            preferences=self.preferences,
            initial={
                "name": asked.name,
                "dialect": asdict(asked.dialect),
                "content": base64.b64encode(asked.content).decode(),
            },
        )
        return self.answer(
            "register/pages/import.html",
            {
                "heading": self.heading,
                "what": dict(WHAT)[asked.name],
                **_said(found.answer),
                "form": store,
                "mark": marks.fresh(self.scope),
                "store_at": reverse("store-import"),
            },
        )


class StoreImport(Imports):
    """Store a file that was looked at, whole or not at all, once."""

    form_class = StoreForm  # type: ignore[assignment]
    template_name = "register/pages/imports.html"

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Lead to where a file is chosen: there is nothing to show without one."""
        return HttpResponseRedirect(reverse("imports"))

    def post(self, request: HttpRequest, **more: Any) -> HttpResponse:
        """Store it by the way of every form."""
        return FormPage.post(self, request, **more)

    def show(self, form: PageForm, row: Any, **how: Any) -> HttpResponse:
        """Say above the form for a file why nothing was stored."""
        fresh = FileForm(preferences=self.preferences)
        errors = [str(e) for own in form.errors.values() for e in own]
        how["note"] = " ".join([*errors, how.get("note", "")]).strip()
        how.pop("carried", None)
        return super().show(fresh, row, **how)

    def do(self, form: Any, row: Any) -> str:
        """Bring it in as the API does."""
        given = form.cleaned_data
        asked = Given(
            name=given["name"],
            content=given["content"],
            dialect=given["dialect"],
            dry_run=False,
        )
        if import_jobs.is_long(asked.content):
            return self.leave_to_worker(asked)
        found = _bring_in(asked, scope=self.scope)
        if found.status == import_jobs.REFUSED:
            said = gettext("%s rows cannot be taken; nothing was stored.")
            raise Refused(said % len(found.answer.get("errors", ())))
        if found.job_ids:
            tasks.wake_after_commit(job_ids=list(found.job_ids), kind=found.job_kind)
        said = gettext("Stored: %s rows.") % found.answer["rows"]
        messages.info(self.request, said)
        return reverse("imports")


class ImportPage(FormPage):
    """A long file: where it stands, what became of it, and its storing after a look."""

    form_class = AgainForm
    template_name = "register/pages/import.html"
    heading = gettext_lazy("Imports")

    def row(self) -> Any:
        """Return the file's row."""
        rows = ImportFile.objects.within(self.scope).defer("content")
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def locked(self, row: Any) -> Any:
        """Return the row unheld: another one is made."""
        return row

    def words(self, row: Any) -> dict[str, Any]:
        """Return how far it is, by its job, and what became of it."""
        return {
            "what": dict(WHAT).get(row.name, row.name),
            "file": row,
            **_said(row.answer),
            "job": import_jobs.job_of(row),
        }

    def do(self, form: Any, row: Any) -> str:
        """Have the same file stored by a worker."""
        content = form.cleaned_data["file"].read()
        if hashlib.sha256(content).hexdigest() != row.sha256:
            raise Refused(
                gettext("This is another file than the one that was looked at."),
                field="file",
            )
        asked = Given(
            name=row.name,
            content=content,
            dialect=Dialect(**row.dialect),
            dry_run=False,
        )
        new, ids = import_jobs.ask(scope=self.scope, given=asked, now=timezone.now())
        tasks.wake_after_commit(job_ids=ids, kind=import_jobs.BRING_IN)
        return reverse("import", args=(new.pk,))


def _said(answer: Any) -> dict[str, Any]:
    """Return a file's answer, its faults and warnings in the reader's language."""
    found = answer or {}
    in_words = import_string(settings.WARNINGS_IN_WORDS)
    notices = [
        {**each, "warning": in_words(each["warning"]) if "warning" in each else ""}
        for each in found.get("notices", ())
    ]
    return {
        "answer": answer,
        "faults": faults.told(found.get("errors", ())),
        "notices": notices,
    }


def _bring_in(asked: Given, *, scope: Any) -> BroughtIn:
    named = settings.IMPORTERS.get(asked.name, settings.IMPORTERS[""])
    do: Any = import_string(named)
    found: BroughtIn = do(
        scope=scope, given=asked, now=timezone.now(), tell=lambda _done, _of: None
    )
    # As a worker's answer is kept: with nothing in it but JSON.
    json.dumps(found.answer)
    return found
