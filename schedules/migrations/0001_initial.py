"""The schedules tables as first released."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("fleet", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="FanHistory",
            fields=[
                (
                    "fan",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="packed_history",
                        serialize=False,
                        to="fleet.fan",
                    ),
                ),
                ("version", models.BigIntegerField()),
                ("revision", models.PositiveBigIntegerField()),
                ("row", models.BinaryField()),
            ],
        ),
        migrations.CreateModel(
            name="DueChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("changed_at", models.DateTimeField(db_index=True)),
                ("due_on_before", models.DateField(null=True)),
                ("due_on", models.DateField(null=True)),
                ("due_rule_before", models.PositiveSmallIntegerField(null=True)),
                ("due_rule", models.PositiveSmallIntegerField(null=True)),
                (
                    "fan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="due_changes",
                        to="fleet.fan",
                    ),
                ),
            ],
            options={
                "ordering": ["-changed_at", "fan_id"],
            },
        ),
        migrations.CreateModel(
            name="DueState",
            fields=[
                (
                    "fan",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="due_state",
                        serialize=False,
                        to="fleet.fan",
                    ),
                ),
                ("due_on", models.DateField(null=True)),
                (
                    "due_rule",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "walk_through"),
                            (2, "code_inspection"),
                            (3, "running_hours"),
                            (4, "grease"),
                            (5, "vibration"),
                            (6, "follow_up"),
                            (7, "after_event"),
                            (8, "failure_odds"),
                            (9, "restart"),
                        ],
                        null=True,
                    ),
                ),
                ("overdue_after", models.DateField(null=True)),
                (
                    "overdue_rule",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (1, "walk_through"),
                            (2, "code_inspection"),
                            (3, "running_hours"),
                            (4, "grease"),
                            (5, "vibration"),
                            (6, "follow_up"),
                            (7, "after_event"),
                            (8, "failure_odds"),
                            (9, "restart"),
                        ],
                        null=True,
                    ),
                ),
                ("not_before", models.DateField(null=True)),
                ("dates", models.BinaryField(null=True)),
                ("worst_verdict", models.PositiveSmallIntegerField(default=0)),
                ("fault", models.CharField(blank=True, max_length=250)),
                ("revision", models.PositiveBigIntegerField(default=1)),
                ("reckoned_revision", models.PositiveBigIntegerField(default=0)),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="fleet.owner",
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="fleet.site",
                    ),
                ),
            ],
            options={
                "ordering": ["due_on", "fan_id"],
                "indexes": [
                    models.Index(fields=["due_on", "fan"], name="due_by_day"),
                    models.Index(fields=["owner", "due_on", "fan"], name="due_by_owner_and_day"),
                    models.Index(fields=["site", "due_on", "fan"], name="due_by_site_and_day"),
                    models.Index(
                        condition=models.Q(
                            ("reckoned_revision", models.F("revision")), _negated=True
                        ),
                        fields=["fan"],
                        name="due_stale",
                    ),
                ],
            },
        ),
    ]
