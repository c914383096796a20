"""Migration operations that put a tenant's second ring into PostgreSQL.

Policies compare each row with the setting that `tenancy.confine` makes; composite
foreign keys keep a row from pointing at another contractor's row, which row-level
security alone lets pass (referential checks bypass it; PostgreSQL manual, 5.9).
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState

from fleet.platform.database.tenancy import SETTING


def app_role() -> str:
    """Return the database role of web and workers, as the settings name it."""
    from django.conf import settings

    return str(settings.DATABASES["default"]["USER"])


class SqlOperation(Operation):
    """An operation that changes the database but not Django's picture of it."""

    reversible = True
    reduces_to_sql = True

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Leave the state alone."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for statement in self.forwards(to_state, app_label):
            schema_editor.execute(statement, params=None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for statement in self.backwards(from_state, app_label):
            schema_editor.execute(statement, params=None)

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        raise NotImplementedError

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        raise NotImplementedError


class GrantToApp(SqlOperation):
    """Let the app role use the schema's tables and sequences, those to come too."""

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        role = app_role()
        rights = "SELECT, INSERT, UPDATE, DELETE"
        return [
            f'GRANT USAGE ON SCHEMA public TO "{role}"',
            f'GRANT {rights} ON ALL TABLES IN SCHEMA public TO "{role}"',
            f'GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO "{role}"',
            f"ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT {rights} "
            f'ON TABLES TO "{role}"',
            "ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT USAGE, SELECT "
            f'ON SEQUENCES TO "{role}"',
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        role = app_role()
        return [
            "ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE ALL "
            f'ON TABLES FROM "{role}"',
            "ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE ALL "
            f'ON SEQUENCES FROM "{role}"',
        ]

    def describe(self) -> str:
        return "Grant the app role its rights"


class ConfineToContractor(SqlOperation):
    """Turn on row-level security for models and tie their references together."""

    def __init__(self, *models: str) -> None:
        self.models = models

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, list(self.models), {})

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        found = [state.apps.get_model(app_label, name) for name in self.models]
        statements = []
        for model in found:
            table = model._meta.db_table
            statements += [
                f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_of_contractor" '
                "UNIQUE (contractor_id, id)",
                f'ALTER TABLE "{table}" ENABLE ROW LEVEL SECURITY',
                f'CREATE POLICY own_contractor ON "{table}" USING ({_SAME}) '
                f"WITH CHECK ({_SAME})",
                _counted_soon(table),
            ]
        for model in found:
            statements += [
                f'ALTER TABLE "{model._meta.db_table}" ADD CONSTRAINT "{name}" '
                f"FOREIGN KEY (contractor_id, {column}) "
                f'REFERENCES "{target}" (contractor_id, id) '
                "DEFERRABLE INITIALLY DEFERRED"
                for name, column, target in _references(model)
            ]
        return statements

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        found = [state.apps.get_model(app_label, name) for name in self.models]
        statements = [
            f'ALTER TABLE "{model._meta.db_table}" DROP CONSTRAINT "{name}"'
            for model in found
            for name, _, _ in _references(model)
        ]
        for model in found:
            table = model._meta.db_table
            statements += [
                f'DROP POLICY own_contractor ON "{table}"',
                f'ALTER TABLE "{table}" DISABLE ROW LEVEL SECURITY',
                f'ALTER TABLE "{table}" DROP CONSTRAINT "{table}_of_contractor"',
            ]
        return statements

    def describe(self) -> str:
        return f"Confine {', '.join(self.models)} to their contractor"


class CountSoon(SqlOperation):
    """Let PostgreSQL count an app's tenant tables anew after few changes.

    By its own rule a tenth of all contractors' rows must change first. Until then it
    expects one row of whoever came in since, and may then go through the product of
    all that one has (PostgreSQL manual, Updating Planner Statistics and Row
    Estimation Examples).
    """

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [_counted_soon(table) for table in _tenant_tables(state, app_label)]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            f'ALTER TABLE "{table}" RESET ({", ".join(_SOON)})'
            for table in _tenant_tables(state, app_label)
        ]

    def describe(self) -> str:
        return "Count tenants' tables soon after they have grown"


class AppendOnly(SqlOperation):
    """Refuse UPDATE and DELETE on a model's table, by right and by trigger."""

    def __init__(self, model: str) -> None:
        self.model = model

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, [self.model], {})

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        table = state.apps.get_model(app_label, self.model)._meta.db_table
        return [
            f'REVOKE UPDATE, DELETE, TRUNCATE ON "{table}" FROM "{app_role()}"',
            "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger "
            "LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION "
            "'% is append-only: write a correcting row', TG_TABLE_NAME "
            "USING ERRCODE = 'restrict_violation'; END $$",
            f'CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON "{table}" '
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()",
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        table = state.apps.get_model(app_label, self.model)._meta.db_table
        return [
            f'DROP TRIGGER append_only ON "{table}"',
            f'GRANT UPDATE, DELETE ON "{table}" TO "{app_role()}"',
        ]

    def describe(self) -> str:
        return f"Make {self.model} append-only"


_SAME = f"contractor_id = nullif(current_setting('{SETTING}', true), '')::bigint"


# Rows changed until a table is counted anew: of fewer even their square is quick.
_SOON = {"autovacuum_analyze_scale_factor": 0, "autovacuum_analyze_threshold": 2000}


def _counted_soon(table: str) -> str:
    settings = ", ".join(f"{name} = {value}" for name, value in _SOON.items())
    return f'ALTER TABLE "{table}" SET ({settings})'


def _tenant_tables(state: ProjectState, app_label: str) -> list[str]:
    models = state.apps.get_app_config(app_label).get_models()
    return sorted(model._meta.db_table for model in models if _is_tenants(model))


def _is_tenants(model: Any) -> bool:
    return any(field.name == "contractor" for field in model._meta.concrete_fields)


def _references(model: Any) -> list[tuple[str, str, str]]:
    """Return (constraint name, column, target table) of references to tenant rows."""
    found = []
    for field in model._meta.concrete_fields:
        target = field.related_model
        if target is None or not field.many_to_one or field.name == "contractor":
            continue
        if _is_tenants(target):
            table = model._meta.db_table
            name = f"{table}_{field.column}_same"[:60]
            found.append((name, field.column, target._meta.db_table))
    return found
