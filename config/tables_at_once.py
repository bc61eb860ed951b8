"""Many new tables in one step of a migration."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import CreateModel
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class TablesAtOnce(Operation):
    """The outcome of ``operations``, that create tables and add to them, with nothing in between.

    One by one Django makes the classes of all models anew for each of them: for some hundred
    operations ten seconds of a core in every fresh database, where this takes one.
    """

    reduces_to_sql = True
    reversible = True

    def __init__(self, operations: Sequence[Operation]) -> None:
        self.operations = operations

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Add all to the state; the classes of its models are made when they are asked for."""
        state.__dict__.pop("apps", None)
        for operation in self.operations:
            operation.state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Create each table as it is in the end, with its constraints and indexes."""
        for model in self._models(app_label, schema_editor, to_state):
            schema_editor.create_model(model)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Drop the tables, last made first."""
        for model in reversed(self._models(app_label, schema_editor, from_state)):
            schema_editor.delete_model(model)

    def _models(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, state: ProjectState
    ) -> list[Any]:
        new = [each.name for each in self.operations if isinstance(each, CreateModel)]
        models = [state.apps.get_model(app_label, name) for name in new]
        alias = schema_editor.connection.alias
        return [model for model in models if self.allow_migrate_model(alias, model)]

    def describe(self) -> str:
        """What it does, for people."""
        return f"Create {len(self.operations)} tables, constraints and indexes at once"
