"""Take everything out again, as CSV and as JSON lines, piece by piece.

A stream opens its own transaction when it is first read, because the request's has
ended by then, and confines it to the contractor.
"""

import base64
import json
import uuid
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any, Protocol

from django.db import connections, transaction
from django.utils.duration import duration_iso_string

from fleet.platform.database import standby, tenancy
from fleet.platform.database.tenancy import Scope
from fleet.register.exchange.resource import Resource
from fleet.register.exchange.table import write_chunks

_ROWS_AT_ONCE = 1000
_SERVERS_NOTES = ("id", "version", "created_at")
HeardParts = Callable[[int, int], None]


def nobody(done: int, parts: int) -> None:
    """Tell nobody how far it has come."""


class Outgoing(Protocol):
    """Something that can be taken out: a name, a header, and rows of a scope.

    Whether a scope may take it at all, and with which columns, is what the rule of its
    table says (`fleet/platform/visibility.py`).
    """

    @property
    def name(self) -> str: ...

    def admits(self, scope: Scope) -> bool: ...

    def header(self, *, scope: Scope) -> Sequence[str]: ...

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        """Return rows of cells, as importing takes them."""
        ...

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        """Return rows with their values, and what the server notes of each."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """A resource of the register on its way out."""

    resource: Resource

    @property
    def name(self) -> str:
        return self.resource.name

    def admits(self, scope: Scope) -> bool:
        return self.resource.model.visibility.admits(scope)

    def header(self, *, scope: Scope) -> Sequence[str]:
        return [column.name for column in self.resource.columns]

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        columns = self.resource.columns
        for values in self._rows(scope, ()):
            yield [
                column.write(value)
                for column, value in zip(columns, values, strict=True)
            ]

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        columns = self.resource.columns
        for row in self._rows(scope, _SERVERS_NOTES):
            values, notes = row[: len(columns)], row[len(columns) :]
            found = {
                column.name: column.plain(value)
                for column, value in zip(columns, values, strict=True)
            }
            yield found | dict(zip(_SERVERS_NOTES, notes, strict=True))

    def _rows(self, scope: Scope, further: Sequence[str]) -> Iterator[tuple[Any, ...]]:
        paths = self.resource.paths()
        wanted = [paths.get(c.name, c.name) for c in self.resource.columns]
        rows = self.resource.stored(scope=scope).values_list(*wanted, *further)
        return iter(rows.iterator(chunk_size=_ROWS_AT_ONCE))


def csv_pieces(*, scope: Scope, outgoing: Outgoing) -> Iterator[bytes]:
    """Stream a CSV file that importing takes back as it is."""
    with _reading(scope):
        yield from _csv(scope, outgoing)


def json_line_pieces(*, scope: Scope, outgoing: Outgoing) -> Iterator[bytes]:
    """Stream one JSON object a line."""
    with _reading(scope):
        yield from _json_lines(scope, outgoing)


def archive_pieces(
    *,
    scope: Scope,
    outgoing: Sequence[Outgoing],
    at: datetime,
    form: str = "csv",
    notes: Mapping[str, bytes] | None = None,
    tell: HeardParts = nobody,
) -> Iterator[bytes]:
    """Stream a ZIP file with one file for each, all of the same instant.

    What the scope may not see is left out. The form is csv or jsonl. Notes are files
    of text that come first. `tell` hears how many of how many files are done.
    """
    admitted = [each for each in outgoing if each.admits(scope)]
    sink, write = _Sink(), _FORMS[form]
    with _reading(scope), zipfile.ZipFile(sink, "w") as archive:
        for name, text in (notes or {}).items():
            archive.writestr(_entry(name, at), text)
        for done, one in enumerate(admitted):
            tell(done, len(admitted))
            entry = _entry(f"{one.name}.{form}", at)
            with archive.open(entry, "w", force_zip64=True) as packed:
                for piece in write(scope, one):
                    packed.write(piece)
                    yield sink.drained()
    tell(len(admitted), len(admitted))
    yield sink.drained()


def _entry(name: str, at: datetime) -> zipfile.ZipInfo:
    found = zipfile.ZipInfo(name, date_time=at.timetuple()[:6])
    found.compress_type = zipfile.ZIP_DEFLATED
    found.external_attr = 0o644 << 16
    return found


@contextmanager
def _reading(scope: Scope) -> Iterator[None]:
    connection = connections[standby.alias()]
    is_outermost = not connection.in_atomic_block
    with transaction.atomic(using=connection.alias):
        if is_outermost:
            with connection.cursor() as cursor:
                cursor.execute(
                    "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"
                )
        tenancy.confine(contractor_id=scope.contractor_id)
        yield


def _csv(scope: Scope, outgoing: Outgoing) -> Iterator[bytes]:
    yield from write_chunks([outgoing.header(scope=scope)])
    yield from write_chunks(outgoing.lines(scope=scope))


def _json_lines(scope: Scope, outgoing: Outgoing) -> Iterator[bytes]:
    pending: list[str] = []
    for record in outgoing.records(scope=scope):
        pending.append(json.dumps(record, ensure_ascii=False, default=_plain))
        if len(pending) == _ROWS_AT_ONCE:
            yield _joined(pending)
    if pending:
        yield _joined(pending)


_FORMS = {"csv": _csv, "jsonl": _json_lines}


def _plain(value: Any) -> str:
    """Return what JSON has no form for as text: a day, a moment, an exact amount.

    Raises TypeError for anything else.
    """
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Decimal | uuid.UUID):
        # Never a binary fraction: the amount stays as it was written.
        return str(value)
    if isinstance(value, timedelta):
        return duration_iso_string(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode()
    raise TypeError(f"{type(value).__name__} has no form in JSON lines")


def _joined(pending: list[str]) -> bytes:
    found = "".join(f"{line}\n" for line in pending).encode()
    pending.clear()
    return found


@dataclass(slots=True)
class _Sink:
    """What the archive writes into, emptied after every piece; it cannot go back."""

    pending: bytearray = field(default_factory=bytearray)

    def write(self, piece: bytes) -> int:
        self.pending += piece
        return len(piece)

    def flush(self) -> None:
        """Nothing is kept back."""

    def close(self) -> None:
        """What was written stays to be taken."""

    def drained(self) -> bytes:
        found = bytes(self.pending)
        self.pending.clear()
        return found
