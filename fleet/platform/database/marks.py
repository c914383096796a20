"""Migration operations that have PostgreSQL itself mark what was worked out before.

A row that is derived from others is out of date as soon as one of those changes, by
whichever way. Triggers write a mark beside each change, in its transaction and once for
each statement; whoever works the row out anew takes its marks away.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.migrations.state import ProjectState

from fleet.platform.database.row_security import SqlOperation

_ROWS = {
    "INSERT": "NEW TABLE AS changed",
    "UPDATE": "NEW TABLE AS changed",
    "DELETE": "OLD TABLE AS changed",
}


class MarkMachines(SqlOperation):
    """Have every change of models' rows mark their machines in the model of marks.

    Marks are added and never changed, so that nobody waits for another's.
    """

    def __init__(self, *models: str, mark: str) -> None:
        self.models, self.mark = models, mark

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, list(self.models), {"mark": self.mark})

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        marks = state.apps.get_model(app_label, self.mark)._meta.db_table
        return [
            f"CREATE FUNCTION mark_machines() RETURNS trigger LANGUAGE plpgsql AS $$ "
            f'BEGIN INSERT INTO "{marks}" (contractor_id, version, machine_number) '
            f"SELECT DISTINCT contractor_id, 1, machine_id FROM changed "
            # What is erased with its machine leaves no mark.
            f"WHERE EXISTS (SELECT FROM fleet_machine m WHERE m.id = machine_id); "
            f"RETURN NULL; END $$",
            *(
                f"CREATE TRIGGER mark_machines_{event.lower()} AFTER {event} ON "
                f'"{table}" REFERENCING {rows} FOR EACH STATEMENT '
                f"EXECUTE FUNCTION mark_machines()"
                for table in self._tables(state, app_label)
                for event, rows in _ROWS.items()
            ),
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            *(
                f'DROP TRIGGER mark_machines_{event.lower()} ON "{table}"'
                for table in self._tables(state, app_label)
                for event in _ROWS
            ),
            "DROP FUNCTION mark_machines()",
        ]

    def describe(self) -> str:
        return f"Mark machines when {', '.join(self.models)} change"

    def _tables(self, state: ProjectState, app_label: str) -> Sequence[str]:
        return [
            state.apps.get_model(app_label, name)._meta.db_table for name in self.models
        ]


class MarkMachinesOfErased(SqlOperation):
    """Have the erasing of a model's rows mark their machines, if those stay.

    The function of `MarkMachines` does it, and must be there.
    """

    def __init__(self, model: str) -> None:
        self.model = model

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, [self.model], {})

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        table = state.apps.get_model(app_label, self.model)._meta.db_table
        return [
            f'CREATE TRIGGER mark_machines_delete AFTER DELETE ON "{table}" '
            f"REFERENCING {_ROWS['DELETE']} FOR EACH STATEMENT "
            f"EXECUTE FUNCTION mark_machines()"
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        table = state.apps.get_model(app_label, self.model)._meta.db_table
        return [f'DROP TRIGGER mark_machines_delete ON "{table}"']

    def describe(self) -> str:
        return f"Mark machines when rows of {self.model} are erased"


class RowForEachMachine(SqlOperation):
    """Have a model hold one row a machine, with its code and whether it is in service.

    Machines that are there already get theirs at once.
    """

    def __init__(self, model: str) -> None:
        self.model = model

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, [self.model], {})

    def forwards(self, state: ProjectState, app_label: str) -> list[str]:
        table = state.apps.get_model(app_label, self.model)._meta.db_table
        values: Mapping[str, str] = {
            "contractor_id": "m.contractor_id",
            "version": "1",
            "machine_id": "m.id",
            "code": "m.code",
            "in_service": "m.retired_on IS NULL",
        }
        added = (
            f'INSERT INTO "{table}" ({", ".join(values)}) '
            f"SELECT {', '.join(values.values())} FROM {{rows}} m"
        )
        return [
            "CREATE FUNCTION add_state_of_machine() RETURNS trigger LANGUAGE plpgsql "
            f"AS $$ BEGIN {added.format(rows='changed')}; RETURN NULL; END $$",
            "CREATE TRIGGER add_state_of_machine AFTER INSERT ON fleet_machine "
            "REFERENCING NEW TABLE AS changed FOR EACH STATEMENT "
            "EXECUTE FUNCTION add_state_of_machine()",
            "CREATE FUNCTION follow_machine() RETURNS trigger LANGUAGE plpgsql AS $$ "
            f'BEGIN UPDATE "{table}" s SET code = m.code, '
            "in_service = m.retired_on IS NULL FROM changed m "
            "WHERE s.machine_id = m.id AND (s.code, s.in_service) IS DISTINCT FROM "
            "(m.code, m.retired_on IS NULL); RETURN NULL; END $$",
            "CREATE TRIGGER follow_machine AFTER UPDATE ON fleet_machine "
            "REFERENCING NEW TABLE AS changed FOR EACH STATEMENT "
            "EXECUTE FUNCTION follow_machine()",
            # Last: the triggers have waited for everybody who was adding a machine.
            added.format(rows="fleet_machine"),
        ]

    def backwards(self, state: ProjectState, app_label: str) -> list[str]:
        return [
            "DROP TRIGGER follow_machine ON fleet_machine",
            "DROP FUNCTION follow_machine()",
            "DROP TRIGGER add_state_of_machine ON fleet_machine",
            "DROP FUNCTION add_state_of_machine()",
        ]

    def describe(self) -> str:
        return f"Keep a row of {self.model} for each machine"
