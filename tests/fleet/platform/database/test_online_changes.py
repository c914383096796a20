"""Keys and indexes go while others work; what waits for a lock gives way."""

import threading
from contextlib import contextmanager

import psycopg
import pytest
from django.db import OperationalError, connections, models
from django.db.migrations.state import ModelState, ProjectState

from fleet.platform.database import online_changes

TABLES = """
CREATE TABLE fleet_scratchparent (
    id bigint PRIMARY KEY, contractor_id bigint NOT NULL, UNIQUE (contractor_id, id)
);
CREATE TABLE fleet_scratch (
    id bigint PRIMARY KEY,
    contractor_id bigint NOT NULL,
    parent_id bigint CONSTRAINT scratch_alone REFERENCES fleet_scratchparent (id)
);
CREATE INDEX scratch_parent ON fleet_scratch (parent_id);
CREATE INDEX scratch_some ON fleet_scratch (parent_id) WHERE parent_id IS NOT NULL;
"""
COMPOSITE = """
ALTER TABLE fleet_scratch ADD CONSTRAINT scratch_together
FOREIGN KEY (contractor_id, parent_id)
REFERENCES fleet_scratchparent (contractor_id, id)
"""
GONE = "DROP TABLE IF EXISTS fleet_scratch, fleet_scratchparent"
STATE = ProjectState()
for _name, _fields in {
    "ScratchParent": {},
    "Scratch": {
        "contractor_id": models.BigIntegerField(),
        "parent": models.ForeignKey(
            "fleet.ScratchParent", on_delete=models.PROTECT, null=True
        ),
    },
}.items():
    STATE.add_model(
        ModelState(
            "fleet",
            _name,
            [("id", models.BigIntegerField(primary_key=True)), *_fields.items()],
        )
    )


@pytest.fixture
def owner(django_db_setup, django_db_blocker):
    """The owner's connection, with two tables of its own."""
    with django_db_blocker.unblock():
        connection = connections["owner"]
        with connection.cursor() as cursor:
            cursor.execute(GONE)
            cursor.execute(TABLES)
        yield connection
        with connection.cursor() as cursor:
            cursor.execute(GONE)
        connection.close()


def leave_to_composite(connection):
    operation = online_changes.LeaveToComposite(
        model_name="scratch",
        name="parent",
        field=models.ForeignKey(
            "fleet.ScratchParent",
            on_delete=models.PROTECT,
            null=True,
            db_index=False,
            db_constraint=False,
        ),
    )
    change(connection, operation)


def change(connection, operation):
    after = STATE.clone()
    operation.state_forwards("fleet", after)
    with connection.schema_editor(atomic=False) as editor:
        operation.database_forwards("fleet", editor, STATE, after)


def keys(connection):
    return fetch(
        connection,
        "SELECT conname FROM pg_constraint WHERE contype = 'f' "
        "AND conrelid = 'fleet_scratch'::regclass",
    )


def indexes(connection):
    return fetch(
        connection,
        "SELECT k.relname FROM pg_index JOIN pg_class k ON k.oid = indexrelid "
        "WHERE indrelid = 'fleet_scratch'::regclass AND indisvalid",
    )


def fetch(connection, question):
    with connection.cursor() as cursor:
        cursor.execute(question)
        return {value for (value,) in cursor.fetchall()}


@contextmanager
def reader(connection):
    """Someone whose transaction reads the table and does not end."""
    with psycopg.connect(
        **{
            key: connection.get_connection_params()[key]
            for key in ("dbname", "user", "host", "port")
            if key in connection.get_connection_params()
        }
    ) as other:
        other.execute("SELECT * FROM fleet_scratch")
        yield other


def test_the_own_key_and_index_go_and_nothing_else(owner):
    with owner.cursor() as cursor:
        cursor.execute(COMPOSITE)

    leave_to_composite(owner)
    leave_to_composite(owner)

    assert keys(owner) == {"scratch_together"}
    assert indexes(owner) == {"fleet_scratch_pkey", "scratch_some"}


def test_a_key_that_nothing_replaces_stays(owner):
    with pytest.raises(online_changes.NotGuarded, match="parent_id"):
        leave_to_composite(owner)

    assert keys(owner) == {"scratch_alone"}
    assert "scratch_parent" in indexes(owner)


def test_a_change_outlasts_a_reader(owner, monkeypatch):
    monkeypatch.setattr(online_changes, "LOCK_TIMEOUT", "100ms")
    monkeypatch.setattr(online_changes, "PAUSE_S", 0.1)
    with owner.cursor() as cursor:
        cursor.execute(COMPOSITE)

    with reader(owner) as other:
        leaving = threading.Timer(0.5, other.rollback)
        leaving.start()
        leave_to_composite(owner)
        leaving.join()

    assert keys(owner) == {"scratch_together"}


def test_a_change_gives_up_and_is_finished_later(owner, monkeypatch):
    monkeypatch.setattr(online_changes, "LOCK_TIMEOUT", "50ms")
    monkeypatch.setattr(online_changes, "PAUSE_S", 0.01)
    monkeypatch.setattr(online_changes, "TRIES", 2)
    with owner.cursor() as cursor:
        cursor.execute(COMPOSITE)

    with reader(owner), pytest.raises(OperationalError, match="lock timeout"):
        leave_to_composite(owner)

    assert fetch(owner, "SHOW lock_timeout") == {"0"}
    assert keys(owner) == {"scratch_together", "scratch_alone"}
    leave_to_composite(owner)
    assert keys(owner) == {"scratch_together"}


def test_an_index_left_half_built_is_built_anew(owner):
    with owner.cursor() as cursor:
        cursor.execute("INSERT INTO fleet_scratch VALUES (1, 7, NULL), (2, 7, NULL)")
        with pytest.raises(Exception, match="could not create unique index"):
            cursor.execute(
                "CREATE UNIQUE INDEX CONCURRENTLY scratch_new "
                "ON fleet_scratch (contractor_id)"
            )
    add = online_changes.AddIndexOnline(
        model_name="scratch",
        index=models.Index(fields=["contractor_id"], name="scratch_new"),
    )

    assert "scratch_new" not in indexes(owner)
    change(owner, add)
    change(owner, add)

    assert "scratch_new" in indexes(owner)


def test_an_index_goes_and_may_be_gone_already(owner):
    remove = online_changes.RemoveIndexOnline(model_name="scratch", name="scratch_some")
    before = STATE.clone()
    before.models["fleet", "scratch"].options["indexes"] = [
        models.Index(fields=["parent"], name="scratch_some")
    ]
    for _ in range(2):
        after = before.clone()
        remove.state_forwards("fleet", after)
        with owner.schema_editor(atomic=False) as editor:
            remove.database_forwards("fleet", editor, before, after)

    assert indexes(owner) == {"fleet_scratch_pkey", "scratch_parent"}
