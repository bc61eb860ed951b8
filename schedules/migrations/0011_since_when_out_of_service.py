"""Due rows say since when a fan is out of service; those of fans ever made safe are reckoned anew."""

from __future__ import annotations

from typing import Any

from django.db import migrations, models
from django.db.models.functions import Now


def reckon_anew(apps: Any, _: object) -> None:
    """Touch the fans of which the new column may have something to say."""
    slips = apps.get_model("visits", "MadeSafe").objects.values("fan")
    touched = apps.get_model("schedules", "DueState").objects.filter(fan__in=slips)
    touched.update(revision=models.F("revision") + 1, touched_at=Now())


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0006_guesses_counted_for_all_hosts"),
        ("visits", "0005_answers_by_link"),
        ("schedules", "0010_kitchens_are_asked"),
    ]

    operations = [
        migrations.AddField(
            model_name="duestate",
            name="made_safe_on",
            field=models.DateField(null=True),
        ),
        migrations.AddIndex(
            model_name="duestate",
            index=models.Index(
                condition=models.Q(("made_safe_on__isnull", False)),
                fields=["fan"],
                name="due_out_of_service",
            ),
        ),
        migrations.AddIndex(
            model_name="notice",
            index=models.Index(fields=["kind", "owed_at"], name="notice_of_kind_by_time"),
        ),
        migrations.RunPython(reckon_anew, migrations.RunPython.noop),
    ]
