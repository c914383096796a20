"""What was typed when the session had ended: kept for its person, as an unsent form."""

import json
import uuid
from collections.abc import Collection
from datetime import datetime
from urllib.parse import parse_qsl, urlencode

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render

from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Contractor, Membership, SentForm
from fleet.platform.pages import frame
from fleet.platform.pages.forms import marks

ASKED_FOR = "unsent"
_LARGEST = 100_000
_NEVER_KEPT = frozenset({"csrfmiddlewaretoken", marks.FIELD})


def keep(request: HttpRequest, *, secret: Collection[str] = ()) -> str:
    """Keep what was typed for the person the form names; return the way back to it.

    Where the form names nobody, or somebody else than who acts now, nothing is kept.
    Fields named in `secret` and files never are.
    """
    mark = marks.read(request.POST.get(marks.FIELD, ""))
    scope = getattr(request, "scope", None)
    if mark is None or (scope is not None and not mark.is_of(scope)):
        return request.get_full_path()
    typed = {
        name: values
        for name, values in request.POST.lists()
        if name not in _NEVER_KEPT and name not in secret
    }
    if len(json.dumps(typed)) > _LARGEST:
        return request.get_full_path()
    with transaction.atomic():
        if scope is None:
            tenancy.confine(contractor_id=mark.contractor_id)
        _store(mark=mark, address=request.path, typed=typed)
    asked = [
        pair for pair in parse_qsl(request.META["QUERY_STRING"]) if pair[0] != ASKED_FOR
    ]
    return f"{request.path}?{urlencode([*asked, (ASKED_FOR, mark.reference.hex)])}"


def _store(*, mark: marks.Mark, address: str, typed: dict[str, list[str]]) -> None:
    rows = SentForm.objects.within(mark.scope()).filter(reference=mark.reference)
    if rows.filter(done_at__isnull=False).exists():
        return
    if rows.update(typed=typed):
        return
    SentForm.objects.create(
        contractor_id=mark.contractor_id,
        membership_id=mark.membership_id,
        reference=mark.reference,
        address=address[:500],
        typed=typed,
    )


def kept(request: HttpRequest, *, scope: Scope) -> tuple[uuid.UUID, QueryDict] | None:
    """Return the person's own unsent form that the address asks for, if any."""
    try:
        reference = uuid.UUID(request.GET.get(ASKED_FOR, "")[:40])
    except ValueError:
        return None
    row = (
        SentForm.objects.within(scope)
        .filter(reference=reference, address=request.path, done_at__isnull=True)
        .filter(membership_id=scope.membership_id or 0)
        .first()
    )
    if row is None:
        return None
    typed = QueryDict(mutable=True)
    for name, values in row.typed.items():
        typed.setlist(name, values)
    return reference, typed


def end_for(membership: Membership, *, at: datetime) -> None:
    """Forget what somebody who was let go had typed; settings name it."""
    SentForm.objects.filter(
        contractor_id=membership.contractor_id,
        membership_id=membership.pk,
        done_at__isnull=True,
    ).delete()


def prune(*, before: datetime) -> int:
    """Forget forms from before a time, sent or not; return how many."""
    forgotten = 0
    for contractor_id in Contractor.objects.order_by("pk").values_list("pk", flat=True):
        with tenancy.acting_for(contractor_id=contractor_id):
            old = SentForm.objects.filter(contractor_id=contractor_id)
            forgotten += old.filter(created_at__lt=before).delete()[0]
    return forgotten


def not_genuine(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Bring a form back whose token is of before a log-in; settings name it.

    It is shown again with what was typed and does nothing until it is sent again. Any
    other form is refused in words.
    """
    view = getattr(getattr(request.resolver_match, "func", None), "view_class", None)
    form = getattr(view, "form_class", None)
    if form is None or marks.read(request.POST.get(marks.FIELD, "")) is None:
        words = frame.context(request)
        answer = render(request, "pages/not_genuine.html", words, status=403)
        answer["Cache-Control"] = "no-store"
        return answer
    return HttpResponseRedirect(keep(request, secret=form.secret_names()))
