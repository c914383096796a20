"""The yardstick from above: what the framework offers for many rows at once.

A model serializer with `many=True`, its own validators left as they are, and
`bulk_create`. It finds no places, converts no units, judges nothing, and takes all
readings or none.
"""

import json
import time
from typing import Any

from django.db import transaction
from rest_framework import serializers

from inspections.models import Reading
from tests import callers, factories


class _Together(serializers.ListSerializer[Reading]):
    def create(self, validated_data: list[dict[str, Any]]) -> list[Reading]:
        return Reading.objects.bulk_create(Reading(**row) for row in validated_data)


class PlainReading(serializers.ModelSerializer[Reading]):
    """A reading by its foreign keys, value in the canonical unit already."""

    class Meta:
        model = Reading
        list_serializer_class = _Together
        fields = (
            "visit",
            "machine",
            "sheave",
            "groove",
            "rope",
            "reference",
            "kind",
            "place",
            "typed_value",
            "typed_unit",
            "value",
            "word",
            "taken_at",
            "gauge",
            "note",
            "state",
        )


def prepare(
    cast: factories.Cast, *, upload_id: int, old_mark: str, new_mark: str
) -> bytes:
    """Return an upload's readings as the JSON that the plain serializer takes."""
    with transaction.atomic():
        callers.confine(cast)
        rows = list(Reading.objects.filter(upload=upload_id).order_by("pk"))
    content = PlainReading(rows, many=True).data
    for row in content:
        row["reference"] = row["reference"].replace(old_mark, new_mark, 1)
    return json.dumps(content).encode()


def store(cast: factories.Cast, content: bytes, *, upload_id: int) -> float:
    """Store the rows in one transaction; return the seconds, commit included.

    The upload is given once: read again for each row, its stored answer would make
    the plain way slower than it need be.
    """
    begun = time.perf_counter()
    with transaction.atomic():
        callers.confine(cast)
        serializer = PlainReading(data=json.loads(content), many=True)
        serializer.is_valid(raise_exception=True)
        serializer.save(contractor_id=cast.contractor.pk, upload_id=upload_id)
    return time.perf_counter() - begun
