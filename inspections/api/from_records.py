"""Fields of the API from the annotations of a kernel's record: declared once, there."""

from collections.abc import Callable, Mapping
from datetime import date
from enum import Enum
from types import NoneType
from typing import Any, get_args, get_origin

from rest_framework import serializers

from inspections.json_records import hints, inside, kinds

Made = Mapping[str, serializers.Field[Any, Any, Any, Any]]
# What makes the fields of a name, by the type of what stands there.
ByType = Mapping[Any, Callable[[str], Made]]
_PLAIN: Mapping[Any, type[serializers.Field[Any, Any, Any, Any]]] = {
    bool: serializers.BooleanField,
    int: serializers.IntegerField,
    float: serializers.FloatField,
    str: serializers.CharField,
    date: serializers.DateField,
}


def fields_of(
    record: type, *, by_type: ByType
) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
    """Return the fields of a record by name; a type that is not known raises KeyError.

    `by_type` has what is given in a form of its own; the members of a tuple count.
    """
    found: dict[str, serializers.Field[Any, Any, Any, Any]] = {}
    for name, hint in hints(record):
        own = next((by_type[kind] for kind in inside(hint) if kind in by_type), None)
        found |= own(name) if own else {name: _field(hint)}
    return found


def completed(record: type, stored: Mapping[str, Any]) -> dict[str, Any]:
    """Return a stored record with null for what an earlier version did not have."""
    nullable = (name for name, hint in hints(record) if NoneType in kinds(hint))
    return {**dict.fromkeys(nullable), **stored}


def _field(hint: Any) -> serializers.Field[Any, Any, Any, Any]:
    allow_null = NoneType in kinds(hint)
    [kind] = [each for each in kinds(hint) if each is not NoneType]
    if get_origin(kind) is tuple:
        return serializers.ListField(child=_field(get_args(kind)[0]))
    if issubclass(kind, Enum):
        choices = [str(each) for each in kind]
        return serializers.ChoiceField(choices=choices, allow_null=allow_null)
    return _PLAIN[kind](allow_null=allow_null)
