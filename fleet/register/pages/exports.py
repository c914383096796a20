"""Files taken out: asked for, made by a worker, fetched, removed."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.api import confirming
from fleet.platform.choices import JobState
from fleet.platform.errors import NotFound
from fleet.platform.models import Job, Membership
from fleet.platform.pages import PageView
from fleet.platform.pages.forms import FormPage, PageForm
from fleet.platform.pages.forms.asking import OnlySent
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ, READ_AS_OFFICE, TAKE_OUT
from fleet.platform.visibility.asking import may
from fleet.register.api import export_files
from fleet.register.exchange import everything, export_jobs
from fleet.register.models import ExportFile
from fleet.register.pages.people import named

_MOST = 50
_ARCHIVES = {
    "everything.zip": gettext_lazy("everything, tables as CSV"),
    "everything.jsonl.zip": gettext_lazy("everything, tables as lines of JSON"),
    "register.zip": gettext_lazy("the register, as it can be brought in again"),
}


class ExportsPage(PageView):
    """The files that were asked for, the newest first; the office sees everyone's."""

    template_name = "register/pages/exports.html"
    act = READ

    def get(self, request: HttpRequest, **_: Any) -> HttpResponseBase:
        """Show where each file stands."""
        return self.listed()

    def listed(self, *, error: str = "", status: int = 200) -> HttpResponseBase:
        """Return the list, with what went wrong."""
        rows = list(ExportFile.objects.within(self.scope).order_by("-pk")[: _MOST + 1])
        jobs = self._jobs([row.pk for row in rows if row.finished_at is None])
        now = timezone.now()
        names = self._names(rows)
        files = [
            (row, jobs.get(row.pk), _state(row, now), names.get(row.membership_id, "–"))
            for row in rows[:_MOST]
        ]
        return self.answer(
            status=status,
            context={
                "error": error,
                "files": files,
                "more": len(rows) > _MOST,
                "shows_names": bool(names),
                "waits": any(
                    state == "WAITS"
                    and job is not None
                    and job.state != JobState.FAILED
                    for _, job, state, _ in files
                ),
            },
        )

    def _jobs(self, ids: list[int]) -> dict[int, Job]:
        rows = Job.objects.filter(
            kind=export_jobs.WRITE_EXPORT,
            contractor_id=self.scope.contractor_id,
            subject_id__in=ids,
        )
        return {job.subject_id or 0: job for job in rows.order_by("pk")}

    def _names(self, rows: list[ExportFile]) -> dict[int, str]:
        """Return who asked for files, for the office alone."""
        if not may(READ_AS_OFFICE, scope=self.scope):
            return {}
        people = Membership.objects.within(self.scope).filter(
            pk__in={row.membership_id for row in rows}
        )
        return {one.pk: named(one.person) for one in people.select_related("person")}


def _state(row: ExportFile, now: Any) -> str:
    if row.removed_at is not None:
        return "REMOVED"
    if row.finished_at is None:
        return "WAITS"
    is_over = row.expires_at is not None and row.expires_at <= now
    return "REMOVED" if is_over else "READY"


class ExportForm(PageForm):
    """Which file is wanted."""

    name = forms.ChoiceField(label=gettext_lazy("Which file"))


class NewExport(FormPage):
    """Ask for a file; who asks again before it is made gets the same one."""

    act = TAKE_OUT
    confirms = True
    form_class = ExportForm
    heading = gettext_lazy("Take data out")

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the archives, and the tables that the reader may take."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        tables = [
            f"{name}.{kind}"
            for name, each in everything.outgoing().items()
            if each.admits(self.scope)
            for kind in ("csv", "jsonl")
        ]
        fields["name"].choices = [
            (gettext("Archives"), [(n, f"{w} ({n})") for n, w in _ARCHIVES.items()]),
            (gettext("Single tables"), [(name, name) for name in tables]),
        ]
        return form

    def words(self, row: Any) -> dict[str, Any]:
        """Return what is made, and that it is written down."""
        return {
            "lead": gettext(
                "A worker makes the file of what you may see; it waits some days to be "
                "fetched. Who took out what is written down."
            ),
            "back": reverse("exports"),
            "button": gettext("Have it made"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Ask for it by the activity that the API calls."""
        _, ids = export_jobs.ask(
            scope=self.scope, name=form.cleaned_data["name"], now=timezone.now()
        )
        tasks.wake_after_commit(job_ids=ids, kind=export_jobs.WRITE_EXPORT)
        messages.info(self.request, gettext("It is being made; this page tells when."))
        return reverse("exports")


class _OfExport(FormPage):
    act = TAKE_OUT

    def row(self) -> Any:
        """Return the file's row."""
        rows = ExportFile.objects.within(self.scope)
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found


class RemoveExport(_OfExport):
    """Remove a file now; that it was made stays written down."""

    confirms = True
    form_class = OnlySent
    heading = gettext_lazy("Remove a file")

    def words(self, row: Any) -> dict[str, Any]:
        """Return which file."""
        said = gettext(
            "“%s” can then be fetched no more; who took it out stays on record."
        )
        return {
            "lead": said % row.name,
            "back": reverse("exports"),
            "button": gettext("Remove it"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Remove it by the activity that the API calls."""
        export_jobs.remove(export=row, now=timezone.now())
        messages.info(self.request, gettext("Removed."))
        return reverse("exports")


class FetchExport(ExportsPage):
    """The file itself, for whoever has just confirmed who they are."""

    http_method_names = ["get"]

    def get(  # type: ignore[override]
        self, request: HttpRequest, pk: int
    ) -> HttpResponseBase:
        """Send it; a person who has to confirm first is led back to the list."""
        row = ExportFile.objects.within(self.scope).filter(pk=pk).first()
        if row is None:
            raise Http404
        if not confirming.is_fresh(request):
            query = urlencode({"next": reverse("exports")})
            return HttpResponseRedirect(f"{reverse('confirm')}?{query}")
        try:
            return export_files.file_of(row, request=request)
        except export_jobs.NoFileYet:
            return self.listed(error=gettext("The file is not made yet."), status=409)
        except NotFound as error:
            return self.listed(error=gettext(error.detail), status=409)
