"""On SQLite changes were written with an offset, which no comparison of text gets over."""

from django.db import migrations


def write_as_django_does(apps, schema_editor):
    """Take the offset off; it was always that of UTC."""
    if schema_editor.connection.vendor == "sqlite":
        with schema_editor.connection.cursor() as cursor:
            cursor.execute(
                "UPDATE schedules_duechange SET changed_at = replace(changed_at, '+00:00', '')"
            )


class Migration(migrations.Migration):
    dependencies = [("schedules", "0004_notices_owed_once")]

    operations = [migrations.RunPython(write_as_django_does, migrations.RunPython.noop)]
