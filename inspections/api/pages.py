"""Pages of the portfolio: in the order of the planning date, dateless machines last."""

from datetime import date
from typing import Any

from django.core import signing
from django.db.models import F, Q
from rest_framework import exceptions

from fleet.platform.api import pagination


class ByPlanningDate(pagination.ById):
    """Pages by planning date and id; the cursor is signed and bound as elsewhere."""

    def paginate_queryset(self, queryset: Any, request: Any, view: Any = None) -> Any:
        self.request = request
        self.binding = pagination._binding(request)
        size = pagination._page_size(request.query_params.get("page_size"))
        after = self._after(request.query_params.get("cursor"))
        ordered = queryset.order_by(F("plan_before_on").asc(nulls_last=True), "pk")
        rows = list(ordered.filter(after)[: size + 1])
        self.more = len(rows) > size
        self.last = _place(rows[size - 1]) if self.more else None
        return rows[:size]

    def _after(self, cursor: str | None) -> Q:
        """Return what comes after a cursor's place. Raises ParseError if forged."""
        if cursor is None:
            return Q()
        try:
            bound_to, (day, pk) = signing.loads(cursor, salt="cursor")
        except (signing.BadSignature, ValueError, TypeError):
            bound_to = None
        if bound_to != self.binding:
            raise exceptions.ParseError("The cursor does not belong to this list.")
        if not day:
            return Q(plan_before_on=None, pk__gt=pk)
        on = date.fromisoformat(day)
        return (
            Q(plan_before_on__gt=on)
            | Q(plan_before_on=on, pk__gt=pk)
            | Q(plan_before_on=None)
        )


def _place(row: Any) -> list[Any]:
    return [row.plan_before_on.isoformat() if row.plan_before_on else "", row.pk]
