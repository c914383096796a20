"""How the doors for files are described."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from rest_framework import serializers

_TYPE_OF = {
    "csv": "text/csv",
    "jsonl": "application/x-ndjson",
    "zip": "application/zip",
}


class FileSchema(AutoSchema):
    """Names an operation by its file, and says which form a file out has."""

    def get_operation_id(self) -> str:
        found = str(super().get_operation_id())
        return found.replace(".", "_").replace("-", "_")

    def get_response_serializers(self) -> Any:
        suffix = self.path.rpartition(".")[2]
        if self.method == "GET" and suffix in _TYPE_OF:
            return {(200, _TYPE_OF[suffix]): OpenApiTypes.BINARY}
        return super().get_response_serializers()


class ErrorOut(serializers.Serializer[Any]):
    pointer = serializers.CharField()
    row = serializers.IntegerField()
    column = serializers.CharField()
    code = serializers.CharField()
    detail = serializers.CharField()


class ChangeOut(serializers.Serializer[Any]):
    row = serializers.IntegerField()
    name = serializers.CharField()
    what = serializers.ChoiceField(choices=["created", "changed"])
    fields = serializers.DictField(required=False)  # type: ignore[assignment]


class ImportAnswer(serializers.Serializer[Any]):
    """What the file does, or would do; rows are counted as a spreadsheet does."""

    resource = serializers.CharField()
    stored = serializers.BooleanField()
    rows = serializers.IntegerField()
    created = serializers.IntegerField()
    changed = serializers.IntegerField()
    unchanged = serializers.IntegerField()
    changes = ChangeOut(many=True)
    changes_not_shown = serializers.IntegerField()
    errors = ErrorOut(many=True)  # type: ignore[assignment]
