"""Migration operations that have PostgreSQL itself write down every change of a row.

Triggers catch what comes over the API, the admin, an import, a command or plain SQL
alike, once for each statement however many rows it changes. They run with the owner's
rights, and the application's role may not write the log itself, so that nothing it does
can leave a false line or none.
"""

from collections.abc import Sequence
from typing import Any

from django.db.migrations.state import ProjectState

from fleet.platform.database.row_security import SqlOperation, app_role
from fleet.platform.database.tenancy import ACTOR

EVENTS = ("INSERT", "UPDATE", "DELETE")
NEVER_TOLD = ("id", "contractor_id", "version", "created_at")

_SEEN_BY = {
    "INSERT": "NEW TABLE AS new_rows",
    "UPDATE": "OLD TABLE AS old_rows NEW TABLE AS new_rows",
    "DELETE": "OLD TABLE AS old_rows",
}


class WriteChanges(SqlOperation):
    """Make the function that the triggers call; only it may add to the log."""

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            f'REVOKE INSERT ON "fleet_change" FROM "{app_role()}"',
            _FUNCTION,
            "REVOKE ALL ON FUNCTION record_change() FROM PUBLIC",
            f'GRANT EXECUTE ON FUNCTION record_change() TO "{app_role()}"',
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            "DROP FUNCTION record_change()",
            f'GRANT INSERT ON "fleet_change" TO "{app_role()}"',
        ]

    def describe(self) -> str:
        return "Let the database write down changes"


class WriteChangesOfPeople(SqlOperation):
    """Make the function anew, as it stands below; triggers go on calling it.

    Takes nothing back: the function as it is now serves every earlier trigger.
    """

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [_FUNCTION.replace("CREATE FUNCTION", "CREATE OR REPLACE FUNCTION", 1)]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return []

    def describe(self) -> str:
        return "Let the database write down changes of what people have"


class Recorded(SqlOperation):
    """Have every change of models' rows written down.

    `ignored` columns are not worth a line by themselves; of `hidden` ones only that
    they changed is told. `whose` says how a row leads to its contractor: by a column
    of its own, by being one (self), by its membership, by being a person, or by naming
    one (of a person), with each of that person's memberships.
    """

    def __init__(
        self,
        *models: str,
        ignored: Sequence[str] = (),
        hidden: Sequence[str] = (),
        events: Sequence[str] = EVENTS,
        whose: str = "own",
    ) -> None:
        self.models = models
        self.ignored, self.hidden = tuple(ignored), tuple(hidden)
        self.events, self.whose = tuple(events), whose

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        given = {
            "ignored": self.ignored,
            "hidden": self.hidden,
            "events": self.events,
            "whose": self.whose,
        }
        return (self.__class__.__qualname__, list(self.models), given)

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        ignored = ",".join((*NEVER_TOLD, *self.ignored))
        told = f"'{ignored}', '{','.join(self.hidden)}', '{self.whose}'"
        return [
            f'CREATE TRIGGER record_{event.lower()} AFTER {event} ON "{table}" '
            f"REFERENCING {_SEEN_BY[event]} FOR EACH STATEMENT "
            f"EXECUTE FUNCTION record_change({told})"
            for table in self._tables(state, app_label)
            for event in self.events
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            f'DROP TRIGGER record_{event.lower()} ON "{table}"'
            for table in self._tables(state, app_label)
            for event in self.events
        ]

    def describe(self) -> str:
        return f"Write down changes of {', '.join(self.models)}"

    def _tables(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            state.apps.get_model(app_label, name)._meta.db_table for name in self.models
        ]


def _branch(act: str, rows: str) -> str:
    """Return the INSERT of one kind of change; `rows` gives each row's old and new."""
    return f"""
INSERT INTO fleet_change (
    contractor_id, created_at, version, "table", row_id, act, fields,
    membership_id, token_id, person_id, via, request, transaction
)
SELECT
    c.id, statement_timestamp(), 1, TG_TABLE_NAME, (r.row->>'id')::bigint, '{act}',
    d.fields, (who->>'membership')::bigint, (who->>'token')::bigint,
    (who->>'person')::bigint, coalesce(who->>'via', ''), coalesce(who->>'request', ''),
    pg_current_xact_id()::text::bigint
FROM ({rows}) AS pair
CROSS JOIN LATERAL (SELECT coalesce(pair.new, pair.old) AS row) AS r
CROSS JOIN LATERAL (
    SELECT jsonb_object_agg(key, CASE
        WHEN key = ANY (hidden) THEN '["hidden", "hidden"]'::jsonb
        ELSE jsonb_build_array(pair.old->key, pair.new->key)
    END) AS fields
    FROM jsonb_object_keys(r.row) AS key
    WHERE key <> ALL (ignored)
    AND coalesce(pair.old->key, 'null') IS DISTINCT FROM coalesce(pair.new->key, 'null')
) AS d
CROSS JOIN LATERAL (
    SELECT (r.row->>'contractor_id')::bigint AS id WHERE whose = 'own'
    UNION ALL SELECT (r.row->>'id')::bigint WHERE whose = 'self'
    UNION ALL SELECT m.contractor_id FROM fleet_membership AS m
        WHERE whose = 'membership' AND m.id = (r.row->>'membership_id')::bigint
    UNION ALL SELECT m.contractor_id FROM fleet_membership AS m
        WHERE whose = 'person' AND m.person_id = (r.row->>'id')::bigint
    UNION ALL SELECT m.contractor_id FROM fleet_membership AS m
        WHERE whose = 'of a person' AND m.person_id = (r.row->>'person_id')::bigint
) AS c
WHERE d.fields IS NOT NULL;"""


_FUNCTION = f"""
CREATE FUNCTION record_change() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    who jsonb := coalesce(nullif(current_setting('{ACTOR}', true), ''), '{{}}')::jsonb;
    ignored text[] := string_to_array(TG_ARGV[0], ',');
    hidden text[] := string_to_array(TG_ARGV[1], ',');
    whose text := TG_ARGV[2];
BEGIN
IF TG_OP = 'INSERT' THEN
    {
    _branch("CREATED", "SELECT NULL::jsonb AS old, to_jsonb(n) AS new FROM new_rows n")
}
ELSIF TG_OP = 'UPDATE' THEN
    {
    _branch(
        "CHANGED",
        "SELECT to_jsonb(o) AS old, to_jsonb(n) AS new "
        "FROM old_rows o JOIN new_rows n USING (id)",
    )
}
ELSE
    {
    _branch("REMOVED", "SELECT to_jsonb(o) AS old, NULL::jsonb AS new FROM old_rows o")
}
END IF;
RETURN NULL;
END $$
"""
