"""Which tables there are: those of this code, those a backup was made of, and how to get them."""

from __future__ import annotations

from collections.abc import Iterable

from django.apps import apps as present
from django.apps.registry import Apps
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from schedules.backup.archive import BackupError, Node
from schedules.backup.tables import FILLED_BY_MIGRATING, kept_tables, tables_of

MIGRATIONS_TABLE = "django_migrations"


def applied_migrations() -> frozenset[Node]:
    """What this database has seen; BackupError where that is not just what this code wants."""
    loader = MigrationExecutor(connection).loader
    applied = frozenset(loader.applied_migrations)
    refuse_unknown(applied, "This database is")
    if missing := loader.disk_migrations.keys() - applied:
        raise BackupError(
            f"{len(missing)} migrations are missing here. Run: manage.py migrate, then again."
        )
    return applied


def refuse_unknown(nodes: Iterable[Node], what: str) -> None:
    """Refuse migrations that this code does not have."""
    known = MigrationExecutor(connection).loader.disk_migrations
    unknown = sorted(set(nodes) - known.keys())
    if unknown:
        named = ", ".join(".".join(node) for node in unknown[:3])
        raise BackupError(
            f"{what} of another, probably newer version: it knows {named}, this one does not. "
            "Install that version, or a newer one."
        )


def is_empty() -> bool:
    """Whether nothing is on record here; a database without tables is empty too."""
    there = set(connection.introspection.table_names())
    asked = kept_tables(present).items()
    return not any(
        table._base_manager.exists()
        for label, table in asked
        if table._meta.db_table in there and label not in FILLED_BY_MIGRATING
    )


def make_tables(nodes: frozenset[Node]) -> Apps:
    """Give empty tables as those migrations make them, and their models."""
    executor = MigrationExecutor(connection)
    if frozenset(executor.loader.applied_migrations) == nodes == _on_disk(executor):
        names = [table._meta.db_table for table in tables_of(present).values()]
        statements = connection.ops.sql_flush(no_style(), names, reset_sequences=True)
        connection.ops.execute_sql_flush(statements)
        return present
    targets = _leaves(_step_by_step().loader, nodes)
    then = _step_by_step().loader.project_state(targets).apps
    _drop({table._meta.db_table for of in (present, then) for table in tables_of(of).values()})
    return _step_by_step().migrate(targets).apps


def bring_up_to_date() -> None:
    """Apply what came since; Django's own rows about models follow."""
    ContentType.objects.clear_cache()
    call_command("migrate", verbosity=0)


def _step_by_step() -> MigrationExecutor:
    """As the executor is, but each migration by itself: old backups know of none that sum up."""
    executor = MigrationExecutor(connection)
    executor.loader = MigrationLoader(connection, replace_migrations=False)
    return executor


def _on_disk(executor: MigrationExecutor) -> frozenset[Node]:
    return frozenset(executor.loader.disk_migrations)


def _leaves(loader: MigrationLoader, nodes: frozenset[Node]) -> list[Node]:
    """The last migration of each app: one named beside a later one would be gone back to."""
    steps = {node for node in nodes if not loader.disk_migrations[node].replaces}
    return [
        node
        for node in sorted(steps)
        if not any(child.key in steps and child.key[0] == node[0]
                   for child in loader.graph.node_map[node].children)
    ]  # fmt: skip


def _drop(names: set[str]) -> None:
    there = set(connection.introspection.table_names())
    doomed = [
        connection.ops.quote_name(name) for name in sorted((names | {MIGRATIONS_TABLE}) & there)
    ]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql" and doomed:
            cursor.execute(f"DROP TABLE {', '.join(doomed)} CASCADE")
        else:
            for name in doomed:
                cursor.execute(f"DROP TABLE {name}")
