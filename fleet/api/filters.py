"""Filters: a closed list per resource; a name outside it is refused, not ignored."""

from typing import Any

from django_filters.rest_framework import DjangoFilterBackend
from rest_framework import exceptions

PAGE_NAMES = {"cursor", "page_size"}


class StrictFilterBackend(DjangoFilterBackend):
    """django-filter, but an unknown query parameter is an error."""

    def filter_queryset(self, request: Any, queryset: Any, view: Any) -> Any:
        known = set(PAGE_NAMES)
        filter_class = self.get_filterset_class(view, queryset)
        if filter_class is not None:
            known |= set(filter_class.base_filters)
        unknown = sorted(set(request.query_params) - known)
        if unknown:
            raise exceptions.ParseError(
                f"{unknown[0][:40]!r} is not a filter here; "
                f"there are {', '.join(sorted(known))}"
            )
        return super().filter_queryset(request, queryset, view)
