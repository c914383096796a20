"""Migration operations that change keys and indexes of large tables while others work.

Use them in migrations with `atomic = False`. Each statement waits for locks a few
seconds only, because whoever comes later queues up behind it, and is tried again. What
was cut off half-way is finished by the next `migrate`.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any

from django.contrib.postgres.operations import (
    AddIndexConcurrently,
    RemoveIndexConcurrently,
)
from django.db import OperationalError
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import AlterField
from django.db.migrations.state import ProjectState

LOCK_TIMEOUT = "3s"
TRIES = 20
PAUSE_S = 1.0

Editor = BaseDatabaseSchemaEditor


class NotGuarded(RuntimeError):
    """A key may not go yet: no composite key of the contractor stands in its place."""


class AddIndexOnline(AddIndexConcurrently):
    """Build an index beside those who write; one left half-built goes first."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: Editor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        name = self.index.name

        def build() -> None:
            match _is_valid(schema_editor, name):
                case True:
                    return
                case False:
                    _drop_index(schema_editor, name)
            super(AddIndexOnline, self).database_forwards(
                app_label, schema_editor, from_state, to_state
            )

        _patiently(schema_editor, build)


class RemoveIndexOnline(RemoveIndexConcurrently):
    """Take an index away beside those who read and write."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: Editor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        def remove() -> None:
            if _is_valid(schema_editor, self.name) is not None:
                _drop_index(schema_editor, self.name)

        _patiently(schema_editor, remove)


class LeaveToComposite(AlterField):
    """Take away a column's own index, its own foreign key, or both.

    The column stays as it is. Its own index goes where the field has no `db_index` any
    more, its own key where it has no `db_constraint`. Raises NotGuarded before a key
    goes that no composite key of the contractor replaces.
    """

    def database_forwards(
        self,
        app_label: str,
        schema_editor: Editor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        editor = schema_editor
        old, new = self._field(app_label, from_state), self._field(app_label, to_state)
        table = f"{app_label}_{self.model_name_lower}"
        column = f"{self.name}_id" if new.remote_field else self.name
        if _has_key(old) and not _has_key(new):
            _check_guarded(editor, table, column)
            for name in _names(editor, _OWN_KEYS, table, column):
                _patiently(editor, partial(_drop_key, editor, table, name))
        if old.db_index and not new.db_index:
            for name in _names(editor, _OWN_INDEXES, table, column):
                _patiently(editor, partial(_drop_index, editor, name))

    def database_backwards(
        self,
        app_label: str,
        schema_editor: Editor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        # Going back, Django makes again what its own picture has.
        super().database_forwards(app_label, schema_editor, from_state, to_state)

    def describe(self) -> str:
        return f"Leave {self.model_name}.{self.name} to its composite key"

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        # Drawn anew when next asked for: once, not for each of many fields.
        state.__dict__.pop("apps", None)
        super().state_forwards(app_label, state)

    def _field(self, app_label: str, state: ProjectState) -> Any:
        return state.models[app_label, self.model_name_lower].fields[self.name]


def _has_key(field: Any) -> bool:
    return bool(field.remote_field and field.db_constraint)


_OWN_INDEXES = """
SELECT k.relname FROM pg_index i
JOIN pg_class k ON k.oid = i.indexrelid
JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = i.indkey[0]
WHERE i.indrelid = %s::regclass AND a.attname = %s
    AND i.indnatts = 1 AND NOT i.indisunique AND i.indpred IS NULL
"""
_OWN_KEYS = """
SELECT c.conname FROM pg_constraint c
JOIN pg_attribute a ON a.attrelid = c.conrelid AND c.conkey = ARRAY[a.attnum]
WHERE c.contype = 'f' AND c.conrelid = %s::regclass AND a.attname = %s
"""
_COMPOSITE_KEYS = """
SELECT c.conname FROM pg_constraint c
JOIN pg_attribute a ON a.attrelid = c.conrelid AND c.conkey[2] = a.attnum
JOIN pg_attribute o ON o.attrelid = c.conrelid AND c.conkey[1] = o.attnum
WHERE c.contype = 'f' AND c.conrelid = %s::regclass AND a.attname = %s
    AND o.attname = 'contractor_id' AND c.convalidated AND cardinality(c.conkey) = 2
"""


def _check_guarded(editor: Editor, table: str, column: str) -> None:
    if not _names(editor, _COMPOSITE_KEYS, table, column):
        raise NotGuarded(f"{table}.{column} has no key (contractor_id, {column})")


def _names(editor: Editor, query: str, table: str, column: str) -> list[str]:
    with editor.connection.cursor() as cursor:
        cursor.execute(query, [f'"{table}"', column])
        return [name for (name,) in cursor.fetchall()]


def _is_valid(editor: Editor, index: str) -> bool | None:
    """Tell whether an index is whole; None if there is none."""
    with editor.connection.cursor() as cursor:
        cursor.execute(
            "SELECT indisvalid FROM pg_index WHERE indexrelid = to_regclass(%s)",
            [f'"{index}"'],
        )
        found = cursor.fetchone()
    return found and bool(found[0])


def _drop_key(editor: Editor, table: str, name: str) -> None:
    editor.execute(f'ALTER TABLE "{table}" DROP CONSTRAINT IF EXISTS "{name}"')


def _drop_index(editor: Editor, name: str) -> None:
    editor.execute(f'DROP INDEX CONCURRENTLY IF EXISTS "{name}"')


def _patiently(editor: Editor, change: Callable[[], None]) -> None:
    """Make a change that gives way to others while it waits for its lock."""
    with _lock_timeout(editor):
        for left in reversed(range(TRIES)):
            try:
                change()
                return
            except OperationalError as problem:
                state = getattr(problem.__cause__, "sqlstate", None)
                if state != _LOCK_NOT_AVAILABLE or not left:
                    raise
            time.sleep(PAUSE_S)


@contextmanager
def _lock_timeout(editor: Editor) -> Iterator[None]:
    editor.execute(f"SET lock_timeout = '{LOCK_TIMEOUT}'")
    try:
        yield
    finally:
        editor.execute("RESET lock_timeout")


_LOCK_NOT_AVAILABLE = "55P03"
