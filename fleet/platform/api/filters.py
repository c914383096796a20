"""Filters: a closed list per resource; a name or value outside it is refused.

django-filter ignores unknown names, empty values and booleans it cannot read, and
then returns everything; here each of them is an error.
"""

import re
from datetime import date, datetime
from typing import Any

import django_filters  # type: ignore[import-untyped]
from django import forms
from django.db import models
from django_filters.rest_framework import (  # type: ignore[import-untyped]
    DjangoFilterBackend,
    FilterSet,
)
from rest_framework import exceptions

from fleet.platform.api import ordering

PAGE_NAMES = {"cursor", "page_size"}

_ID = re.compile(r"[0-9]{1,18}", re.ASCII)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)


class _IdField(forms.Field):
    def to_python(self, value: Any) -> int | None:
        if value is None:
            return None
        if not _ID.fullmatch(value):
            raise forms.ValidationError("It must be an id.", code="invalid")
        return int(value)


class _YesNoField(forms.Field):
    def to_python(self, value: Any) -> bool | None:
        if value is None:
            return None
        if value not in ("true", "false"):
            raise forms.ValidationError("It must be true or false.", code="invalid")
        return bool(value == "true")


class _DayField(forms.Field):
    def to_python(self, value: Any) -> date | None:
        if value is None:
            return None
        try:
            if _DATE.fullmatch(value):
                return date.fromisoformat(value)
        except ValueError:
            pass
        raise forms.ValidationError("It must be a date: 2026-03-31.", code="invalid")


class _MomentField(forms.Field):
    def to_python(self, value: Any) -> datetime | None:
        if value is None:
            return None
        try:
            # An unescaped + arrives as a space.
            found = datetime.fromisoformat(value.replace(" ", "+"))
        except ValueError:
            found = None
        if found is None or found.utcoffset() is None or not 1850 < found.year < 2200:
            raise forms.ValidationError(
                "It must be a time with its offset: 2026-03-31T14:05:00+01:00.",
                code="invalid",
            )
        return found


class IdFilter(django_filters.NumberFilter):  # type: ignore[misc]
    """An id; one that is not there finds nothing, like one out of reach."""

    field_class = _IdField


class YesNoFilter(django_filters.BooleanFilter):  # type: ignore[misc]
    field_class = _YesNoField


class DayFilter(django_filters.DateFilter):  # type: ignore[misc]
    field_class = _DayField


class MomentFilter(django_filters.IsoDateTimeFilter):  # type: ignore[misc]
    field_class = _MomentField


class StrictFilterSet(FilterSet):  # type: ignore[misc]
    """Filters from a model's fields, each with a strict reading of its value."""

    FILTER_DEFAULTS = {
        **FilterSet.FILTER_DEFAULTS,
        models.ForeignKey: {"filter_class": IdFilter},
        models.BigIntegerField: {"filter_class": IdFilter},
        models.BooleanField: {"filter_class": YesNoFilter},
        models.DateField: {"filter_class": DayFilter},
        models.DateTimeField: {"filter_class": MomentFilter},
    }

    @property
    def form(self) -> Any:
        """Return the form; a word that is not taken is answered by those that are."""
        form = super().form
        for field in form.fields.values():
            choices: Any = getattr(field, "choices", ())
            # Of rows that are referred to there are too many.
            if choices and not isinstance(field, forms.ModelChoiceField):
                words = ", ".join(str(word) for word, _ in choices if word)
                field.error_messages["invalid_choice"] = (
                    f"%(value)s is not taken here; use one of {words}"
                )
        return form

    @classmethod
    def filter_for_lookup(cls, field: Any, lookup_type: str) -> Any:
        if lookup_type == "isnull":
            return YesNoFilter, {}
        return super().filter_for_lookup(field, lookup_type)


class StrictFilterBackend(DjangoFilterBackend):  # type: ignore[misc]
    """django-filter, but an unknown, empty or repeated query parameter is an error."""

    filterset_base = StrictFilterSet

    def filter_queryset(self, request: Any, queryset: Any, view: Any) -> Any:
        known = set(PAGE_NAMES)
        filter_class = self.get_filterset_class(view, queryset)
        if filter_class is not None:
            known |= set(filter_class.base_filters)
        known |= ordering.query_names(view)
        for name, values in request.query_params.lists():
            if name not in known:
                raise exceptions.ParseError(
                    f"{name[:40]!r} is not a filter here; "
                    f"there are {', '.join(sorted(known))}"
                )
            if len(values) != 1 or not values[0]:
                raise exceptions.ParseError(f"give {name} one value, or leave it out")
        return super().filter_queryset(request, queryset, view)
