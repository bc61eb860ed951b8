"""All tables of schedules as they stand after 0018_patterns, made at once."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import schedules.models.notices
from config.tables_at_once import TablesAtOnce


class Migration(migrations.Migration):
    replaces = [
        ("schedules", "0001_initial"),
        ("schedules", "0002_due_rows_indexed_once"),
        ("schedules", "0003_stops_found_by_day"),
        ("schedules", "0004_notices_owed_once"),
        ("schedules", "0005_changes_compare_as_written"),
        ("schedules", "0006_notices_of_every_kind"),
        ("schedules", "0007_refused_addresses"),
        ("schedules", "0008_bookings_and_subscriptions"),
        ("schedules", "0009_jobs_taken_once"),
        ("schedules", "0010_kitchens_are_asked"),
        ("schedules", "0011_since_when_out_of_service"),
        ("schedules", "0012_weeks_planned_in_versions"),
        ("schedules", "0013_planning_is_asked_for"),
        ("schedules", "0014_calendars_are_fetched"),
        ("schedules", "0015_travel_times_are_brought"),
        ("schedules", "0016_reasons_of_stops_not_made"),
        ("schedules", "0017_failures_by_class"),
        ("schedules", "0018_patterns"),
    ]

    initial = True

    dependencies = [
        ("fleet", "0001_squashed_0008_days_off_of_everybody"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        TablesAtOnce(
            [
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
                    name="RefusedAddress",
                    fields=[
                        (
                            "address",
                            models.EmailField(max_length=254, primary_key=True, serialize=False),
                        ),
                        ("since", models.DateTimeField()),
                        ("why", models.CharField(max_length=250)),
                    ],
                    options={
                        "ordering": ["since", "address"],
                    },
                ),
                migrations.CreateModel(
                    name="Booking",
                    fields=[
                        (
                            "id",
                            models.UUIDField(
                                default=uuid.uuid4,
                                editable=False,
                                primary_key=True,
                                serialize=False,
                            ),
                        ),
                        ("day", models.DateField()),
                        ("from_minute", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("until_minute", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("note", models.CharField(blank=True, max_length=500)),
                        ("sequence", models.PositiveIntegerField(default=0)),
                        ("booked_at", models.DateTimeField()),
                        ("changed_at", models.DateTimeField()),
                        ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                        ("withdrawn_reason", models.CharField(blank=True, max_length=250)),
                        (
                            "booked_by",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "changed_by",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                db_index=False,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="bookings",
                                to="fleet.site",
                            ),
                        ),
                        (
                            "technician",
                            models.ForeignKey(
                                db_index=False,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="bookings",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["day", "from_minute", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="CalendarLink",
                    fields=[
                        (
                            "id",
                            models.UUIDField(
                                default=uuid.uuid4,
                                editable=False,
                                primary_key=True,
                                serialize=False,
                            ),
                        ),
                        ("token_sha256", models.CharField(max_length=64, unique=True)),
                        ("made_at", models.DateTimeField()),
                        ("fetched_on", models.DateField(null=True)),
                        ("told_sha256", models.CharField(blank=True, max_length=64)),
                        ("told_at", models.DateTimeField(null=True)),
                        (
                            "made_by",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "technician",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="calendar_link",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["made_at"],
                    },
                ),
                migrations.CreateModel(
                    name="DueChange",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
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
                        ("made_safe_on", models.DateField(null=True)),
                        ("fault", models.CharField(blank=True, max_length=250)),
                        ("revision", models.PositiveBigIntegerField(default=1)),
                        ("reckoned_revision", models.PositiveBigIntegerField(default=0)),
                        ("touched_at", models.DateTimeField(null=True)),
                        (
                            "owner",
                            models.ForeignKey(
                                db_index=False,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="fleet.owner",
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                db_index=False,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["due_on", "fan_id"],
                    },
                ),
                migrations.CreateModel(
                    name="FailureClass",
                    fields=[
                        (
                            "drive",
                            models.CharField(max_length=6, primary_key=True, serialize=False),
                        ),
                        ("shape", models.FloatField(null=True)),
                        ("mean_a_year", models.FloatField(null=True)),
                        ("fans", models.PositiveIntegerField()),
                        ("failures", models.PositiveIntegerField()),
                        ("fitted_on", models.DateField()),
                        ("is_told", models.BooleanField(default=False)),
                    ],
                    options={
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(
                                    models.Q(
                                        ("mean_a_year__isnull", True), ("shape__isnull", True)
                                    ),
                                    models.Q(("mean_a_year__gt", 0), ("shape__gt", 0)),
                                    _connector="OR",
                                ),
                                name="failure_class_law_is_whole",
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Job",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("entry", models.CharField(max_length=40)),
                        ("first_fan", models.BigIntegerField(default=0)),
                        ("last_fan", models.BigIntegerField(default=0)),
                        ("turn", models.DateTimeField(null=True)),
                        ("sent_at", models.DateTimeField(null=True)),
                        ("begun_at", models.DateTimeField(null=True)),
                        ("ended_at", models.DateTimeField(null=True)),
                        ("count", models.PositiveBigIntegerField(default=0)),
                        ("claim", models.CharField(blank=True, max_length=40)),
                        ("claimed_until", models.DateTimeField(null=True)),
                        ("tries", models.PositiveSmallIntegerField(default=0)),
                        ("rest_until", models.DateTimeField(null=True)),
                        ("parked_at", models.DateTimeField(null=True)),
                        ("fault", models.CharField(blank=True, max_length=250)),
                    ],
                    options={
                        "ordering": ["entry", "first_fan"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("entry", "first_fan"), name="job_once_a_range"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Notice",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("overdue", "overdue inspections"),
                                    ("advice", "advice awaiting an answer"),
                                    ("critical", "stop or critical finding"),
                                    ("made-safe", "out of service"),
                                    ("no-access", "no way onto the roof"),
                                    ("unanswered", "owner without an answer"),
                                    ("decided", "answer confirmed"),
                                    ("told", "what a kitchen told"),
                                    ("asked", "asked of a kitchen"),
                                    ("day", "a technician's day"),
                                    ("monday", "the week ahead"),
                                    ("summary", "the week that was"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("addressee", models.CharField(max_length=40)),
                        ("period", models.CharField(max_length=60)),
                        ("address", models.EmailField(max_length=254)),
                        ("subject", models.CharField(max_length=200)),
                        ("text", models.TextField()),
                        ("html", models.TextField()),
                        ("calendar", models.TextField(blank=True)),
                        ("owed_at", models.DateTimeField()),
                        ("send_after", models.DateTimeField()),
                        ("claim", models.UUIDField(null=True)),
                        ("claimed_until", models.DateTimeField(null=True)),
                        ("tries", models.PositiveSmallIntegerField(default=0)),
                        ("sent_at", models.DateTimeField(null=True)),
                        ("given_up_at", models.DateTimeField(null=True)),
                        ("fault", models.CharField(blank=True, max_length=250)),
                        (
                            "owner",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="notices",
                                to="fleet.owner",
                            ),
                        ),
                        (
                            "person",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="notices",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Pattern",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("item", models.CharField(max_length=40)),
                        (
                            "state",
                            models.CharField(
                                choices=[
                                    ("open", "open"),
                                    ("closed", "closed"),
                                    ("lapsed", "lapsed"),
                                ],
                                default="open",
                                max_length=6,
                            ),
                        ),
                        ("failures", models.PositiveSmallIntegerField()),
                        ("first_on", models.DateField()),
                        ("last_on", models.DateField()),
                        ("found_on", models.DateField()),
                        ("closest_days", models.PositiveIntegerField()),
                        ("again_soon", models.BooleanField()),
                        ("by_rate", models.BooleanField()),
                        ("figures", models.JSONField(default=dict)),
                        ("as_of", models.DateField()),
                        ("raised_at", models.DateTimeField()),
                        ("changed_at", models.DateTimeField()),
                        (
                            "fan",
                            models.ForeignKey(
                                db_index=False,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="patterns",
                                to="fleet.fan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-last_on", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="PatternClosing",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("closed_at", models.DateTimeField()),
                        ("cause", models.CharField(blank=True, max_length=250)),
                        ("reason", models.CharField(blank=True, max_length=250)),
                        ("failures", models.PositiveSmallIntegerField()),
                        (
                            "closed_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "pattern",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="closings",
                                to="schedules.pattern",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["closed_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="PlannedRound",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("day", models.DateField()),
                        ("leave_minute", models.PositiveSmallIntegerField()),
                        ("back_minute", models.PositiveSmallIntegerField()),
                        ("travel_minutes", models.PositiveIntegerField()),
                        ("travel_m", models.FloatField()),
                        ("overtime_minutes", models.PositiveSmallIntegerField(default=0)),
                        ("free_minutes", models.PositiveSmallIntegerField(default=0)),
                        ("cost", models.FloatField(default=0)),
                        ("published", models.BooleanField(default=False)),
                        ("broken", models.JSONField(default=list)),
                        (
                            "technician",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["day", "technician_id"],
                    },
                ),
                migrations.CreateModel(
                    name="PlannedStop",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("key", models.UUIDField(default=uuid.uuid4)),
                        ("position", models.PositiveSmallIntegerField()),
                        ("arrive_minute", models.PositiveSmallIntegerField()),
                        ("start_minute", models.PositiveSmallIntegerField()),
                        ("leave_minute", models.PositiveSmallIntegerField()),
                        ("work_minutes", models.PositiveSmallIntegerField()),
                        ("travel_minutes", models.PositiveIntegerField()),
                        ("travel_m", models.FloatField()),
                        ("why", models.CharField(max_length=20)),
                        ("pinned", models.BooleanField(default=False)),
                        ("prize", models.FloatField(default=0)),
                        ("detour_cost", models.FloatField(default=0)),
                        ("broken", models.JSONField(default=list)),
                        ("booking_seen", models.PositiveIntegerField(default=0)),
                        ("keeps_hours", models.BooleanField(default=False)),
                        ("extra_minutes", models.PositiveSmallIntegerField(default=0)),
                        (
                            "booking",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="schedules.booking",
                            ),
                        ),
                        (
                            "round",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="stops",
                                to="schedules.plannedround",
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["round_id", "position"],
                    },
                ),
                migrations.CreateModel(
                    name="PlanVersion",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("number", models.PositiveIntegerField()),
                        ("figures", models.JSONField(default=dict)),
                        ("overload", models.JSONField(default=dict)),
                        ("known_bookings", models.JSONField(default=list)),
                        ("published_at", models.DateTimeField(null=True)),
                        (
                            "published_by",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["plan_id", "number"],
                    },
                ),
                migrations.AddField(
                    model_name="plannedround",
                    name="version",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="rounds",
                        to="schedules.planversion",
                    ),
                ),
                migrations.CreateModel(
                    name="LeftOutFan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("skill", models.CharField(blank=True, max_length=20)),
                        ("rules", models.JSONField(default=list)),
                        ("rule_args", models.JSONField(default=dict)),
                        ("reason", models.CharField(max_length=20)),
                        ("required", models.BooleanField(default=False)),
                        ("args", models.JSONField(default=dict)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "version",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="left_out",
                                to="schedules.planversion",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="StopFan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("skill", models.CharField(blank=True, max_length=20)),
                        ("rules", models.JSONField(default=list)),
                        ("rule_args", models.JSONField(default=dict)),
                        ("pulled_forward", models.BooleanField(default=False)),
                        ("made_necessary", models.BooleanField(default=False)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "stop",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="fans",
                                to="schedules.plannedstop",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="StopReason",
                    fields=[
                        (
                            "id",
                            models.UUIDField(
                                default=uuid.uuid4,
                                editable=False,
                                primary_key=True,
                                serialize=False,
                            ),
                        ),
                        ("on", models.DateField()),
                        (
                            "reason",
                            models.CharField(
                                choices=[
                                    ("no_access", "no_access"),
                                    ("weather", "weather"),
                                    ("unsafe", "unsafe"),
                                    ("no_time", "no_time"),
                                    ("parts", "parts"),
                                    ("not_stopped", "not_stopped"),
                                    ("other", "other"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("note", models.CharField(blank=True, max_length=250)),
                        ("given_at", models.DateTimeField()),
                        (
                            "given_by",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "stop",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="reasons",
                                to="schedules.plannedstop",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["given_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Subscription",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("overdue", "overdue inspections"),
                                    ("advice", "advice awaiting an answer"),
                                    ("critical", "stop or critical finding"),
                                    ("made-safe", "out of service"),
                                    ("no-access", "no way onto the roof"),
                                    ("unanswered", "owner without an answer"),
                                    ("decided", "answer confirmed"),
                                    ("told", "what a kitchen told"),
                                    ("asked", "asked of a kitchen"),
                                    ("day", "a technician's day"),
                                    ("monday", "the week ahead"),
                                    ("summary", "the week that was"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("addressee", models.CharField(max_length=40)),
                        (
                            "token",
                            models.CharField(
                                default=schedules.models.notices._token,
                                editable=False,
                                max_length=64,
                                unique=True,
                            ),
                        ),
                        ("left_at", models.DateTimeField(null=True)),
                        (
                            "owner",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="fleet.owner",
                            ),
                        ),
                        (
                            "person",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-left_at", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="TravelPlace",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("latitude", models.FloatField()),
                        ("longitude", models.FloatField()),
                        (
                            "site",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="travel_place",
                                to="fleet.site",
                            ),
                        ),
                        (
                            "technician",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="travel_place",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="TravelTime",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("minutes", models.FloatField()),
                        ("metres", models.FloatField()),
                        ("entered_at", models.DateTimeField()),
                        (
                            "end",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="ways_in",
                                to="schedules.travelplace",
                            ),
                        ),
                        (
                            "entered_by",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "start",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="ways_out",
                                to="schedules.travelplace",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["start_id", "end_id"],
                    },
                ),
                migrations.CreateModel(
                    name="WeekPlan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("monday", models.DateField(unique=True)),
                        ("revision", models.PositiveIntegerField(default=0)),
                    ],
                    options={
                        "ordering": ["-monday"],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("monday__week_day", 2)),
                                name="week_plan_begins_on_monday",
                            )
                        ],
                    },
                ),
                migrations.AddField(
                    model_name="planversion",
                    name="plan",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="versions",
                        to="schedules.weekplan",
                    ),
                ),
                migrations.CreateModel(
                    name="PlanChange",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("revision", models.PositiveIntegerField()),
                        ("at", models.DateTimeField()),
                        ("kind", models.CharField(max_length=20)),
                        ("args", models.JSONField(default=dict)),
                        ("before", models.JSONField(default=list)),
                        ("undone", models.BooleanField(default=False)),
                        (
                            "by",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "plan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="changes",
                                to="schedules.weekplan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-revision"],
                    },
                ),
                migrations.CreateModel(
                    name="AskedPlan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True,
                                primary_key=True,
                                serialize=False,
                                verbose_name="ID",
                            ),
                        ),
                        ("asked_at", models.DateTimeField()),
                        ("fresh", models.BooleanField(default=False)),
                        ("done_at", models.DateTimeField(null=True)),
                        ("fault", models.TextField(blank=True)),
                        (
                            "by",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "plan",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="asked",
                                to="schedules.weekplan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["asked_at"],
                    },
                ),
                migrations.AddIndex(
                    model_name="booking",
                    index=models.Index(fields=["site", "day"], name="booking_site_day"),
                ),
                migrations.AddIndex(
                    model_name="booking",
                    index=models.Index(fields=["technician", "day"], name="booking_technician_day"),
                ),
                migrations.AddIndex(
                    model_name="booking",
                    index=models.Index(fields=["day", "id"], name="booking_in_order"),
                ),
                migrations.AddConstraint(
                    model_name="booking",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("from_minute", None), ("until_minute", None)),
                            models.Q(
                                ("from_minute__isnull", False),
                                ("from_minute__lt", 1440),
                                ("until_minute__isnull", False),
                                ("until_minute__lte", 1440),
                            ),
                            _connector="OR",
                        ),
                        name="booking_times_both_or_neither_within_a_day",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="booking",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at", None), ("withdrawn_reason", "")),
                            models.Q(
                                ("withdrawn_at__isnull", False),
                                models.Q(("withdrawn_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="booking_withdrawn_says_why",
                    ),
                ),
                migrations.AddIndex(
                    model_name="duestate",
                    index=models.Index(fields=["due_on", "fan"], name="due_by_day"),
                ),
                migrations.AddIndex(
                    model_name="duestate",
                    index=models.Index(
                        fields=["owner", "due_on", "fan"], name="due_by_owner_and_day"
                    ),
                ),
                migrations.AddIndex(
                    model_name="duestate",
                    index=models.Index(
                        fields=["site", "due_on", "fan"], name="due_by_site_and_day"
                    ),
                ),
                migrations.AddIndex(
                    model_name="duestate",
                    index=models.Index(
                        condition=models.Q(("worst_verdict", 4)),
                        fields=["due_on", "fan"],
                        name="due_stops_by_day",
                    ),
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
                    model_name="duestate",
                    index=models.Index(
                        condition=models.Q(
                            ("reckoned_revision", models.F("revision")), _negated=True
                        ),
                        fields=["fan"],
                        name="due_stale",
                    ),
                ),
                migrations.AddIndex(
                    model_name="notice",
                    index=models.Index(
                        condition=models.Q(("given_up_at", None), ("sent_at", None)),
                        fields=["send_after"],
                        name="notice_owed",
                    ),
                ),
                migrations.AddIndex(
                    model_name="notice",
                    index=models.Index(fields=["kind", "owed_at"], name="notice_of_kind_by_time"),
                ),
                migrations.AddConstraint(
                    model_name="notice",
                    constraint=models.UniqueConstraint(
                        fields=("kind", "addressee", "period"), name="notice_once_a_period"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="notice",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("owner", None), ("person__isnull", False)),
                            models.Q(("owner__isnull", False), ("person", None)),
                            _connector="OR",
                        ),
                        name="notice_to_an_owner_or_a_person",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="notice",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("sent_at", None), ("given_up_at", None), _connector="OR"
                        ),
                        name="notice_sent_or_given_up",
                    ),
                ),
                migrations.AddIndex(
                    model_name="pattern",
                    index=models.Index(fields=["last_on", "id"], name="pattern_in_order"),
                ),
                migrations.AddConstraint(
                    model_name="pattern",
                    constraint=models.UniqueConstraint(
                        fields=("fan", "item"), name="pattern_one_per_fan_and_item"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="pattern",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("failures__gte", 2)),
                        name="pattern_of_two_failures_or_more",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="pattern",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("first_on__lte", models.F("last_on"))),
                        name="pattern_first_before_last",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="patternclosing",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("cause", ""), ("closed_by", None), ("reason", "")),
                            models.Q(
                                ("closed_by__isnull", False),
                                models.Q(("cause", ""), ("reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="pattern_closing_by_somebody_says_why",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="plannedstop",
                    constraint=models.UniqueConstraint(
                        fields=("round", "position"), name="planned_stop_in_order"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="plannedstop",
                    constraint=models.UniqueConstraint(
                        fields=("round", "key"), name="planned_stop_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="plannedround",
                    constraint=models.UniqueConstraint(
                        fields=("version", "technician", "day"), name="planned_round_once_a_day"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="leftoutfan",
                    constraint=models.UniqueConstraint(
                        fields=("version", "fan", "skill"), name="left_out_fan_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="stopfan",
                    constraint=models.UniqueConstraint(
                        fields=("stop", "fan", "skill"), name="stop_fan_once"
                    ),
                ),
                migrations.AddIndex(
                    model_name="stopreason",
                    index=models.Index(
                        condition=models.Q(("reason", "no_access")),
                        fields=["on"],
                        name="stop_reason_no_access_by_day",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="stopreason",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("note", ""), ("reason", "other"), _negated=True),
                        name="stop_reason_other_says_which",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="subscription",
                    constraint=models.UniqueConstraint(
                        fields=("kind", "addressee"), name="subscription_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="travelplace",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("site__isnull", False), ("technician__isnull", True)),
                            models.Q(("site__isnull", True), ("technician__isnull", False)),
                            _connector="OR",
                        ),
                        name="travel_place_is_site_or_base",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="traveltime",
                    constraint=models.UniqueConstraint(
                        fields=("start", "end"), name="travel_time_once_each_way"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="traveltime",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("metres__gte", 0), ("minutes__gte", 0)),
                        name="travel_time_not_negative",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="planversion",
                    constraint=models.UniqueConstraint(
                        fields=("plan", "number"), name="plan_version_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="planversion",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("number", 0), ("published_at", None), ("published_by", None)),
                            models.Q(("number__gt", 0), ("published_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="plan_version_draft_or_published",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="planchange",
                    constraint=models.UniqueConstraint(
                        fields=("plan", "revision"), name="plan_change_once"
                    ),
                ),
            ]
        ),
    ]
