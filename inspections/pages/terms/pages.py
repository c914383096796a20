"""Terms as they stand, each with its history, and a page to change each."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import formats, timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages import PageView
from fleet.platform.pages.forms import FormPage, PageForm
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register import people
from inspections import options
from inspections.api import terms_shapes
from inspections.decisions.suggesting import SuggestedRate
from inspections.intake.accepting import ASSESS
from inspections.models import Terms, TermsSubject
from inspections.pages.terms import fields
from inspections.planning import spending
from inspections.planning import terms as writing

_SUBJECTS = {
    TermsSubject.RATES: ("change-rates", gettext_lazy("Rates")),
    TermsSubject.LEAD_TIMES: ("change-lead-times", gettext_lazy("Lead times")),
    TermsSubject.THRESHOLDS: ("change-thresholds", gettext_lazy("Thresholds")),
    TermsSubject.CHECKS: ("change-checks", gettext_lazy("Checks of your own")),
}
_TAKES: dict[str, Any] = {
    TermsSubject.RATES: terms_shapes.RatesIn,
    TermsSubject.LEAD_TIMES: terms_shapes.LeadTimesIn,
    TermsSubject.THRESHOLDS: terms_shapes.ThresholdsIn,
    TermsSubject.CHECKS: terms_shapes.ChecksIn,
}
_FLAT = (TermsSubject.THRESHOLDS, TermsSubject.CHECKS)
_CHANGES_SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidValue:
    """One value: what it is of, as it was before and as it is now."""

    words: str
    before: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TermsState:
    """One change: who, when, why, and what of it was changed."""

    by: str
    at: datetime
    why: str
    changes: list[SaidValue]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingTerms:
    """One subject as it stands, with its last changes."""

    words: str
    address: str
    currency: str
    said: list[SaidValue]
    history: list[TermsState]
    suggested: list["SuggestedRow"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestedRow:
    """One rate as works had it."""

    words: str
    shown: str
    works: int


class TermsPage(PageView):
    """What the contractor has said of each subject, and who changed what when."""

    template_name = "inspections/pages/terms.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show all four subjects."""
        names = people.names_of(scope=self.scope)
        found = [
            self._subject(subject, name, str(words), names)
            for subject, (name, words) in _SUBJECTS.items()
        ]
        return self.answer(context={"subjects": found, "since": self._suggested.since})

    @cached_property
    def _suggested(self) -> spending.Suggested:
        row = writing.standing(scope=self.scope, subject=TermsSubject.RATES)
        return spending.suggested(
            scope=self.scope,
            currency=row.currency if row else "",
            today=timezone.localdate(),
        )

    def _subject(
        self, subject: str, name: str, words: str, names: dict[int, str]
    ) -> StandingTerms:
        rows = Terms.objects.within(self.scope).filter(subject=subject)
        last = list(rows.order_by("-pk")[: _CHANGES_SHOWN + 1])
        labels = {k: str(f.label) for k, f in fields.of_subject(subject).items()}
        standing = _flat(subject, last[0]) if last else {}
        return StandingTerms(
            words=words,
            address=reverse(name),
            currency=last[0].currency if last else "",
            said=_differences({}, standing, labels),
            history=list(_history(subject, last, labels, names)),
            suggested=(
                _rows_of(self._suggested.rates, labels)
                if subject == TermsSubject.RATES
                else []
            ),
        )


class _Standing:
    """The terms that stand on a subject, as a row that can be overtaken."""

    _meta = Terms._meta
    pk = 0

    def __init__(self, row: Terms | None) -> None:
        self.row, self.version = row, row.pk if row else 0


class ChangeTerms(FormPage):
    """Change what is said on one subject; what was said before is kept."""

    form_class = fields.TermsForm
    subject = ""

    def row(self) -> Any:
        """Return the terms that stand."""
        return _Standing(writing.standing(scope=self.scope, subject=self.subject))

    def locked(self, row: Any) -> Any:
        """Return the terms that stand now; a second change at once is refused."""
        return self.row()

    def form(self, row: Any, **given: Any) -> PageForm:
        """Return a field for each thing that can be said."""
        found = fields.of_subject(self.subject)
        form = super().form(row, more=found, **given)
        form.order_fields([*found, "why"])
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what is said now."""
        return _flat(self.subject, row.row) if row.row else {}

    def words(self, row: Any) -> dict[str, Any]:
        """Return the heading and the way back."""
        return {"heading": _SUBJECTS[TermsSubject(self.subject)][1], "back": _back()}

    def do(self, form: Any, row: Any) -> str:
        """Store what was changed, by what the API takes and the activity it calls."""
        changed = form.changed_values()
        why = changed.pop("why", form.cleaned_data["why"])
        body: dict[str, Any] = {"why": why}
        currency = changed.pop("currency", None)
        if currency:
            body["currency"] = currency.upper()
        for name, value in changed.items():
            outer, _, inner = name.partition("__")
            if not inner:
                body[outer] = value
            elif self.subject in _FLAT:
                body.setdefault(outer, {})[inner] = value
            else:
                # Maps are replaced whole, so the whole of each is sent.
                body[outer] = _map(form.cleaned_data, outer)
        if len(body) == 1:
            messages.info(self.request, gettext("Nothing was changed."))
            return _back()
        given = _TAKES[self.subject](data=body)
        given.is_valid(raise_exception=True)
        taken = dict(given.validated_data)
        written = writing.change(
            scope=self.scope,
            subject=self.subject,
            why=taken.pop("why"),
            currency=taken.pop("currency", None),
            changes=taken.pop("values", taken),
            now=timezone.now(),
        )
        kind = ASSESS if self.subject == TermsSubject.CHECKS else options.OF_CHUNK
        tasks.wake_after_commit(job_ids=written.job_ids, kind=kind)
        messages.info(
            self.request, gettext("Kept. What follows from it is worked out anew.")
        )
        return _back()


def _rows_of(
    rates: Iterable[SuggestedRate], labels: dict[str, str]
) -> list[SuggestedRow]:
    """Return suggested rates by what the form calls them."""
    return [
        SuggestedRow(
            words=labels[f"{rate.name}__{rate.key}" if rate.key else rate.name],
            shown=" / ".join(
                _marked(f"{getattr(rate.band, end):.2f}") for end in fields.ENDS
            ),
            works=rate.works,
        )
        for rate in rates
    ]


def _back() -> str:
    return reverse("terms")


def _map(cleaned: dict[str, Any], outer: str) -> dict[str, Any]:
    return {
        name.partition("__")[2]: value
        for name, value in cleaned.items()
        if name.startswith(f"{outer}__") and value is not None
    }


def _flat(subject: str, row: Terms) -> dict[str, Any]:
    """Return what a row says, by the names of the form's fields."""
    found: dict[str, Any] = {}
    for name, value in row.said.items():
        if subject in _FLAT:
            found[f"values__{name}"] = value
        elif isinstance(value, dict) and "low" not in value:
            found |= {f"{name}__{inner}": each for inner, each in value.items()}
        else:
            found[name] = value
    if row.currency:
        found["currency"] = row.currency
    return found


def _differences(
    before: dict[str, Any], now: dict[str, Any], labels: dict[str, str]
) -> list[SaidValue]:
    names = [*labels, *sorted(set(before | now) - set(labels))]
    return [
        SaidValue(
            words=labels.get(name, name.partition("__")[2] or name),
            before=_shown(before.get(name)),
            now=_shown(now.get(name)),
        )
        for name in names
        if before.get(name) != now.get(name)
    ]


def _shown(value: Any) -> str:
    if value is None:
        return "–"
    if isinstance(value, dict):
        return " / ".join(_marked(str(value[end])) for end in fields.ENDS)
    return _marked(f"{value:g}") if isinstance(value, float) else str(value)


def _marked(number: str) -> str:
    """Return a number with the decimal mark of the reader's language."""
    return number.replace(".", str(formats.get_format("DECIMAL_SEPARATOR")))


def _history(
    subject: str, last: list[Terms], labels: dict[str, str], names: dict[int, str]
) -> Iterable[TermsState]:
    for row, earlier in zip(last, [*last[1:], None], strict=False):
        if earlier is None and row.replaces_id is not None:
            return
        before = _flat(subject, earlier) if earlier else {}
        yield TermsState(
            by=names.get(row.membership_id, "–"),
            at=row.written_at,
            why=row.why,
            changes=_differences(before, _flat(subject, row), labels),
        )
