"""How the doors for files are described."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes

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
