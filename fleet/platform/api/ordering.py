"""Lists in an order and by a word: both from a closed list of each resource."""

from typing import Any

from django.core import signing
from django.db.models import F, Q
from rest_framework import exceptions
from rest_framework.filters import BaseFilterBackend

from fleet.platform.api import pagination

LONGEST_SEARCH = 100


class ByOrder(pagination.ById):
    """Pages by id, or by one of the view's `ordering_fields`, "-" for the reverse.

    Rows without a value come last either way; equal ones follow their ids.
    """

    def paginate_queryset(self, queryset: Any, request: Any, view: Any = None) -> Any:
        asked = request.query_params.get("ordering", usual_ordering(view))
        if asked is None:
            return super().paginate_queryset(queryset, request, view)
        allowed = ordering_fields(view)
        name = asked.removeprefix("-")
        if name not in allowed:
            raise exceptions.ParseError(
                f"Cannot sort by {asked[:40]!r}; there are {', '.join(allowed)}, "
                'each also with "-"'
            )
        self.request = request
        self.binding = pagination._binding(request)
        size = pagination._page_size(request.query_params.get("page_size"))
        field = queryset.model._meta.get_field(name)
        falling = asked.startswith("-")
        place = self._place(request.query_params.get("cursor"), field)
        after = _after(field, place, falling=falling) if place else Q()
        ordered = queryset.order_by(_term(field, falling=falling), "pk")
        rows = list(ordered.filter(after)[: size + 1])
        self.more = len(rows) > size
        self.last = _named(rows[size - 1], name) if self.more else None
        return rows[:size]

    def _place(self, cursor: str | None, field: Any) -> tuple[Any, int] | None:
        """Return the value and id that a cursor stands at. Raises ParseError."""
        if cursor is None:
            return None
        try:
            bound_to, (value, pk) = signing.loads(cursor, salt="cursor")
        except (signing.BadSignature, ValueError, TypeError):
            bound_to, value, pk = None, None, 0
        if bound_to != self.binding:
            raise exceptions.ParseError("The cursor does not belong to this list.")
        return field.to_python(value), int(pk)

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        found = super().get_schema_operation_parameters(view)
        names = [
            name for field in ordering_fields(view) for name in (field, f"-{field}")
        ]
        if names:
            found.append(
                {
                    "name": "ordering",
                    "in": "query",
                    "required": False,
                    "description": _left_out(usual_ordering(view)),
                    "schema": {"type": "string", "enum": names},
                }
            )
        return found


class SearchBackend(BaseFilterBackend):
    """Rows of which one of the view's `search_fields` holds the text, in any case."""

    def filter_queryset(self, request: Any, queryset: Any, view: Any) -> Any:
        text = request.query_params.get("search")
        if text is None:
            return queryset
        if "\x00" in text or len(text) > LONGEST_SEARCH:
            raise exceptions.ParseError(
                f"search takes a text of at most {LONGEST_SEARCH} letters"
            )
        wanted = Q()
        for name in search_fields(view):
            wanted |= Q(**{f"{name}__icontains": text})
        return queryset.filter(wanted)

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        fields = search_fields(view)
        if not fields:
            return []
        named = ", ".join(name.replace("__", " ") for name in fields)
        return [
            {
                "name": "search",
                "in": "query",
                "required": False,
                "description": f"A part of: {named}.",
                "schema": {"type": "string", "maxLength": LONGEST_SEARCH},
            }
        ]


def usual_ordering(view: Any) -> str | None:
    """Return the order of a view's list where none is asked for; None is by id."""
    found: str | None = getattr(view, "usual_ordering", None)
    return found


def _left_out(usual: str | None) -> str:
    return f"By {usual or 'id'} where it is left out."


def ordering_fields(view: Any) -> tuple[str, ...]:
    """Return the columns that a view's list can be ordered by."""
    return tuple(getattr(view, "ordering_fields", ()))


def search_fields(view: Any) -> tuple[str, ...]:
    """Return the columns that a view's list can be searched in."""
    return tuple(getattr(view, "search_fields", ()))


def query_names(view: Any) -> set[str]:
    """Return the names of query parameters that order or search a view's list."""
    found = {"ordering"} if ordering_fields(view) else set()
    return found | ({"search"} if search_fields(view) else set())


def _term(field: Any, *, falling: bool) -> Any:
    if not field.null:
        # In the plain order, which an index can give.
        return f"-{field.name}" if falling else field.name
    by = F(field.name)
    return by.desc(nulls_last=True) if falling else by.asc(nulls_last=True)


def _after(field: Any, place: tuple[Any, int], *, falling: bool) -> Q:
    """Return what comes after a place."""
    (value, pk), name = place, field.name
    if value is None:
        return Q(**{f"{name}__isnull": True, "pk__gt": pk})
    beyond = "lt" if falling else "gt"
    found = Q(**{f"{name}__{beyond}": value}) | Q(**{name: value, "pk__gt": pk})
    if field.null:
        return found | Q(**{f"{name}__isnull": True})
    # Said once more, as an index can use it.
    return found & Q(**{f"{name}__{beyond}e": value})


def _named(row: Any, name: str) -> list[Any]:
    value = getattr(row, name)
    plain = value if value is None or isinstance(value, (int, float, str)) else None
    return [value.isoformat() if plain is None and value is not None else plain, row.pk]
