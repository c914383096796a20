"""A page with a form: shown, sent, refused in words, done once."""

from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext

from fleet.platform.api import confirming
from fleet.platform.pages.base import PageView
from fleet.platform.pages.forms import keeping, marks, refusals, sending, versions
from fleet.platform.pages.forms.form import PageForm
from fleet.platform.visibility.acts import CHANGE


class _Overtaken(Exception):
    """Somebody changed the row since the form was shown."""

    def __init__(self, found: versions.Overtaken) -> None:
        super().__init__()
        self.found = found


class FormPage(PageView):
    """Says what it changes, how it looks now, and what is done with what was typed.

    A page names `form_class` and defines `do`; one that changes a row defines `row`
    and `initial` too. `confirms` asks first that the person has just shown who they
    are, as the API does.
    """

    template_name = "pages/form.html"
    act = CHANGE
    form_class: type[PageForm]
    confirms = False
    heading: Any = ""

    # --- what a page says of itself ---------------------------------------------------
    def row(self) -> Any:
        """Return the row that is changed, within the scope; None where one is made.

        Raises Http404 for what is not there.
        """
        return None

    def locked(self, row: Any) -> Any:
        """Return the row as it is now, held until the end of the request."""
        rows = type(row).objects.within(self.scope)
        return rows.select_for_update(of=("self",)).get(pk=row.pk)

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what the fields show before anybody types."""
        return {}

    def form(self, row: Any, **given: Any) -> PageForm:
        """Return the form; a page whose fields depend on rows extends it."""
        return self.form_class(preferences=self.preferences, **given)

    def words(self, row: Any) -> dict[str, Any]:
        """Return what the template says beside the form."""
        return {}

    def do(self, form: Any, row: Any) -> str:
        """Do it and return the address of what comes next. Raises DomainError."""
        raise NotImplementedError

    # --- showing ----------------------------------------------------------------------
    def dispatch(
        self, request: HttpRequest, *args: Any, **kwargs: Any
    ) -> HttpResponseBase:
        """Keep what was typed where the session has ended, and lead to the log-in."""
        self.kwargs = kwargs
        if request.method == "POST" and not request.user.is_authenticated:
            back = keeping.keep(request, secret=self.secrets())
            return redirect_to_login(back)
        return super().dispatch(request, *args, **kwargs)

    def secrets(self) -> frozenset[str]:
        """Return the fields that are never kept."""
        return self.form_class.secret_names()

    def get(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Show the form as the row is now, or as it was left unsent."""
        if self.confirms and not confirming.is_fresh(request):
            return self._confirm_first(request.get_full_path())
        row = self.row()
        kept = keeping.kept(request, scope=self.scope)
        if kept is None:
            return self.show(self.form(row, initial=self.initial(row)), row)
        reference, typed = kept
        form = self.form(row, data=typed, initial=self.initial(row))
        said = gettext(
            "This was not sent, for you had been logged out or were to confirm who "
            "you are. Nothing of it is stored. Look it over and send it."
        )
        return self.show(
            form,
            row,
            note=said,
            mark=marks.fresh(self.scope, reference=reference),
            carried=typed.get(versions.FIELD, ""),
        )

    def show(
        self,
        form: PageForm,
        row: Any,
        *,
        status: int = 200,
        note: str = "",
        mark: str = "",
        carried: str = "",
        overtaken: versions.Overtaken | None = None,
    ) -> HttpResponse:
        """Return the page with the form, its faults at the fields and at the top."""
        if row is not None and not carried:
            current = self.form(row, initial=self.initial(row))
            carried = versions.shown(row=row, read=current.read())
        return self.answer(
            context={
                "form": form,
                "row": row,
                "heading": self.heading,
                "note": note,
                "mark": mark or marks.fresh(self.scope),
                "carried": carried,
                "overtaken": overtaken,
                **self.words(row),
            },
            status=status,
        )

    # --- sending ----------------------------------------------------------------------
    def post(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Do what the form asks for, once, or show it again with what is wrong."""
        row = self.row()
        mark = marks.read(request.POST.get(marks.FIELD, ""))
        if mark is not None and not mark.is_of(self.scope):
            return self._of_somebody_else(row)
        if self.confirms and not confirming.is_fresh(request):
            return self._confirm_first(keeping.keep(request, secret=self.secrets()))
        form = self.form(
            row, data=request.POST, files=request.FILES, initial=self.initial(row)
        )
        if mark is None:
            return self._again(form, row, gettext(_TOO_OLD))
        content = sending.fingerprint(request)
        try:
            sending.refuse_second(scope=self.scope, mark=mark, content=content)
            if not form.is_valid():
                return self._faulty(form, row)
            return HttpResponseRedirect(self._done(form, row, mark, content))
        except sending.SentBefore as before:
            if before.led_to is not None:
                return HttpResponseRedirect(before.led_to)
            return self._again(form, row, gettext(_SENT_BEFORE))
        except _Overtaken as error:
            return self._overtaken(row, error.found)
        except refusals.TAKEN as error:
            refusals.note(form, error)
            return self._faulty(form, row)

    def _done(self, form: PageForm, row: Any, mark: marks.Mark, content: str) -> str:
        with transaction.atomic():
            sent = sending.claim(
                scope=self.scope,
                mark=mark,
                address=self.request.path,
                content=content,
                now=timezone.now(),
            )
            if row is not None:
                row = self.locked(row)
                self._refuse_overtaken(form, row)
            led_to = self.do(form, row)
            # What the database looks at last is a fault of this form, not of the end.
            connection.check_constraints()
            sending.finish(sent, led_to=led_to)
        return led_to

    def _refuse_overtaken(self, form: PageForm, row: Any) -> None:
        found = versions.overtaken(
            row=row,
            carried=self.request.POST.get(versions.FIELD, ""),
            current=self.form(row, initial=self.initial(row)),
            sent=form,
            scope=self.scope,
        )
        if found is not None:
            raise _Overtaken(found)

    # --- not done ---------------------------------------------------------------------
    def _faulty(self, form: PageForm, row: Any) -> HttpResponse:
        request = self.request
        return self.show(
            form,
            row,
            status=400,
            mark=request.POST.get(marks.FIELD, ""),
            carried=request.POST.get(versions.FIELD, ""),
        )

    def _again(self, form: PageForm, row: Any, note: str) -> HttpResponse:
        carried = self.request.POST.get(versions.FIELD, "")
        return self.show(form, row, status=409, note=note, carried=carried)

    def _overtaken(self, row: Any, found: versions.Overtaken) -> HttpResponse:
        row = self.row()
        form = self.form(row, data=found.merged, initial=self.initial(row))
        return self.show(form, row, status=409, overtaken=found)

    def _of_somebody_else(self, row: Any) -> HttpResponse:
        form = self.form(row, initial=self.initial(row))
        return self.show(form, row, status=409, note=gettext(_OF_SOMEBODY_ELSE))

    def _confirm_first(self, back: str) -> HttpResponse:
        query = urlencode({"next": back})
        return HttpResponseRedirect(f"{reverse('confirm')}?{query}")


_TOO_OLD = (
    "The form was opened too long ago, so nothing is stored yet. Look it over and "
    "send it again."
)
_SENT_BEFORE = (
    "This form was sent before, with something else in it, and that was done. What "
    "stands here now would be done besides. Send it only if you mean that."
)
_OF_SOMEBODY_ELSE = (
    "This form was opened by somebody else, and nothing of it is taken in your name. "
    "Fill it in yourself."
)
