"""Who changed what, and when: the log that the database writes, the newest first."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils.http import urlencode

from fleet.platform.models import Change, Membership, Token
from fleet.platform.pages import PageView
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register.pages.people import named

_MOST = 50
_LONGEST_NUMBER = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeShown:
    """A change, and by whom or with which device it was made."""

    row: Change
    by: str
    device: str


class ChangesPage(PageView):
    """Changes of the register, of people, plans, uploads; of one row where asked."""

    template_name = "register/pages/changes.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show a page of them; what the address asks for that is none is left out."""
        table = request.GET.get("table", "")[:63]
        row, before = (_number(request.GET.get(n, "")) for n in ("row", "before"))
        rows = Change.objects.within(self.scope).order_by("-pk")
        tables = list(
            Change.objects.within(self.scope)
            .order_by("table")
            .values_list("table", flat=True)
            .distinct()
        )
        if table in tables:
            rows = rows.filter(table=table)
        if row:
            rows = rows.filter(row_id=row)
        found = list((rows.filter(pk__lt=before) if before else rows)[: _MOST + 1])
        shown = self._with_names(found[:_MOST])
        asked = {"table": table, "row": row or ""}
        last = found[_MOST - 1].pk if len(found) > _MOST else None
        return self.answer(
            context={
                "changes": shown,
                "tables": tables,
                "table": table,
                "row": row or "",
                "older": last and urlencode({**asked, "before": last}),
            }
        )

    def _with_names(self, rows: list[Change]) -> list[ChangeShown]:
        people = Membership.objects.within(self.scope).select_related("person")
        names = {
            one.pk: named(one.person)
            for one in people.filter(pk__in={row.membership_id for row in rows})
        }
        keys = Token.objects.within(self.scope)
        devices = dict(
            keys.filter(pk__in={row.token_id for row in rows}).values_list(
                "pk", "device"
            )
        )
        return [
            ChangeShown(
                row=row,
                by=names.get(row.membership_id or 0, ""),
                device=devices.get(row.token_id or 0, ""),
            )
            for row in rows
        ]


def _number(text: str) -> int:
    is_one = text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER
    return int(text) if is_one else 0
