"""All tables of visits as they stand after 0007_no_access_found_at_once, made at once."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from config.tables_at_once import TablesAtOnce


class Migration(migrations.Migration):
    replaces = [
        ("visits", "0001_initial"),
        ("visits", "0002_lists_in_order"),
        ("visits", "0003_photos"),
        ("visits", "0004_received_in_order"),
        ("visits", "0005_answers_by_link"),
        ("visits", "0006_answers_to_visits"),
        ("visits", "0007_no_access_found_at_once"),
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
                    name="Finding",
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
                        ("subject", models.CharField(max_length=40)),
                        ("item", models.CharField(max_length=40)),
                        ("failure_mode", models.CharField(blank=True, max_length=8)),
                        ("mechanism", models.CharField(blank=True, max_length=40)),
                        ("cause", models.CharField(blank=True, max_length=40)),
                        (
                            "severity",
                            models.CharField(
                                choices=[
                                    ("incipient", "incipient"),
                                    ("degraded", "degraded"),
                                    ("critical", "critical"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("verdict", models.CharField(max_length=6)),
                        ("loss_of_function", models.BooleanField(default=False)),
                        ("lasting", models.BooleanField(default=False)),
                        ("call_back", models.BooleanField(default=False)),
                        ("failed_on", models.DateField(blank=True, null=True)),
                        ("recheck_on", models.DateField(blank=True, null=True)),
                        ("note", models.TextField(blank=True)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="findings",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "machine",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                to="fleet.machine",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["visit", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Visit",
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
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("walk_through", "walk-through"),
                                    ("maintenance", "preventive maintenance"),
                                    ("service_call", "service call"),
                                    ("replacement", "replacement"),
                                    ("code_inspection", "code inspection"),
                                    ("start_up", "start-up check"),
                                ],
                                max_length=16,
                            ),
                        ),
                        ("began_at", models.DateTimeField()),
                        ("ended_at", models.DateTimeField(blank=True, null=True)),
                        ("local_on", models.DateField()),
                        ("local_minute", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("technician_name", models.CharField(blank=True, max_length=120)),
                        ("here", models.BooleanField(default=True)),
                        ("notes", models.TextField(blank=True)),
                        ("correction_reason", models.CharField(blank=True, max_length=250)),
                        ("received_at", models.DateTimeField()),
                        ("payload_sha256", models.CharField(max_length=64)),
                        (
                            "recorded_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="visits",
                                to="fleet.site",
                            ),
                        ),
                        (
                            "supersedes",
                            models.OneToOneField(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="superseded_by",
                                to="visits.visit",
                            ),
                        ),
                        (
                            "technician",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-began_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="SystemInspection",
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
                        ("qualified", models.BooleanField()),
                        ("areas_not_cleaned", models.TextField(blank=True)),
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="inspections",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="inspections",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["id"],
                    },
                ),
                migrations.CreateModel(
                    name="Recommendation",
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
                        ("subject", models.CharField(max_length=40)),
                        ("text", models.TextField()),
                        (
                            "cost",
                            models.DecimalField(
                                blank=True, decimal_places=2, max_digits=10, null=True
                            ),
                        ),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="recommendations",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="recommendations",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["visit", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Photo",
                    fields=[
                        ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                        ("subject", models.CharField(blank=True, max_length=40)),
                        ("caption", models.CharField(blank=True, max_length=250)),
                        ("taken_at", models.DateTimeField(blank=True, null=True)),
                        ("received_at", models.DateTimeField()),
                        ("payload_sha256", models.CharField(max_length=64)),
                        ("stored_as", models.CharField(max_length=60, unique=True)),
                        ("width", models.PositiveIntegerField()),
                        ("height", models.PositiveIntegerField()),
                        ("bytes", models.PositiveIntegerField()),
                        ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                        ("withdrawn_reason", models.CharField(blank=True, max_length=250)),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="photos",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "finding",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="photos",
                                to="visits.finding",
                            ),
                        ),
                        (
                            "recorded_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "withdrawn_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="photos",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["received_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="NotReached",
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
                        ("item", models.CharField(blank=True, max_length=40)),
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
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="not_reached",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="not_reached",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["id"],
                    },
                ),
                migrations.CreateModel(
                    name="MadeSafe",
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
                        ("told", models.CharField(max_length=120)),
                        ("lock_holder", models.CharField(blank=True, max_length=120)),
                        ("cook_line_stopped", models.BooleanField(null=True)),
                        ("restarts_when", models.CharField(blank=True, max_length=250)),
                        ("promised_on", models.DateField(blank=True, null=True)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="made_safe",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="made_safe",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["id"],
                    },
                ),
                migrations.AddField(
                    model_name="finding",
                    name="visit",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="findings",
                        to="visits.visit",
                    ),
                ),
                migrations.CreateModel(
                    name="Decision",
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
                        ("subject", models.CharField(max_length=40)),
                        (
                            "answer",
                            models.CharField(
                                choices=[
                                    ("go_ahead", "go ahead"),
                                    ("not_now", "not now"),
                                    ("declined", "declined"),
                                    ("question", "a question"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("decided_on", models.DateField()),
                        ("not_before", models.DateField(blank=True, null=True)),
                        ("decided_by", models.CharField(blank=True, max_length=120)),
                        ("note", models.TextField(blank=True)),
                        ("received_at", models.DateTimeField()),
                        ("payload_sha256", models.CharField(blank=True, max_length=64)),
                        ("shown", models.TextField(blank=True)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="decisions",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "link",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="decisions",
                                to="fleet.ownerlink",
                            ),
                        ),
                        (
                            "recorded_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "recommendation",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="decisions",
                                to="visits.recommendation",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="decisions",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["decided_on", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Check",
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
                        ("volts_ab_v", models.FloatField(blank=True, null=True)),
                        ("volts_bc_v", models.FloatField(blank=True, null=True)),
                        ("volts_ca_v", models.FloatField(blank=True, null=True)),
                        ("amps_a_a", models.FloatField(blank=True, null=True)),
                        ("amps_b_a", models.FloatField(blank=True, null=True)),
                        ("amps_c_a", models.FloatField(blank=True, null=True)),
                        ("overload_setting_a", models.FloatField(blank=True, null=True)),
                        ("breaker_a", models.FloatField(blank=True, null=True)),
                        ("winding_ab_ohm", models.FloatField(blank=True, null=True)),
                        ("winding_bc_ohm", models.FloatField(blank=True, null=True)),
                        ("winding_ca_ohm", models.FloatField(blank=True, null=True)),
                        ("insulation_megohm", models.FloatField(blank=True, null=True)),
                        ("insulation_temperature_c", models.FloatField(blank=True, null=True)),
                        ("pole_1_ohm", models.FloatField(blank=True, null=True)),
                        ("pole_2_ohm", models.FloatField(blank=True, null=True)),
                        ("pole_3_ohm", models.FloatField(blank=True, null=True)),
                        ("lead_zero_ohm", models.FloatField(blank=True, null=True)),
                        ("capacitor_uf", models.FloatField(blank=True, null=True)),
                        ("vibration_motor_radial_mm_s", models.FloatField(blank=True, null=True)),
                        ("vibration_motor_axial_mm_s", models.FloatField(blank=True, null=True)),
                        ("vibration_bearing_radial_mm_s", models.FloatField(blank=True, null=True)),
                        ("vibration_bearing_axial_mm_s", models.FloatField(blank=True, null=True)),
                        ("vibration_curb_mm_s", models.FloatField(blank=True, null=True)),
                        ("grease_hood_low_um", models.FloatField(blank=True, null=True)),
                        ("grease_hood_high_um", models.FloatField(blank=True, null=True)),
                        ("grease_duct_low_um", models.FloatField(blank=True, null=True)),
                        ("grease_duct_high_um", models.FloatField(blank=True, null=True)),
                        ("grease_housing_low_um", models.FloatField(blank=True, null=True)),
                        ("grease_housing_high_um", models.FloatField(blank=True, null=True)),
                        ("temperature_difference_k", models.FloatField(blank=True, null=True)),
                        ("belt_deflection_mm", models.FloatField(blank=True, null=True)),
                        ("belt_span_mm", models.FloatField(blank=True, null=True)),
                        ("sheave_wear_mm", models.FloatField(blank=True, null=True)),
                        ("hour_meter_h", models.FloatField(blank=True, null=True)),
                        ("speed_rpm", models.FloatField(blank=True, null=True)),
                        ("supply_hz", models.FloatField(blank=True, null=True)),
                        ("running", models.CharField(blank=True, max_length=20, null=True)),
                        ("noise", models.CharField(blank=True, max_length=20, null=True)),
                        ("vibration_felt", models.CharField(blank=True, max_length=20, null=True)),
                        ("motor_vents", models.CharField(blank=True, max_length=20, null=True)),
                        ("corrosion", models.CharField(blank=True, max_length=20, null=True)),
                        ("hinge", models.CharField(blank=True, max_length=20, null=True)),
                        ("catch", models.CharField(blank=True, max_length=20, null=True)),
                        ("cable", models.CharField(blank=True, max_length=20, null=True)),
                        ("switch_cover", models.CharField(blank=True, max_length=20, null=True)),
                        ("switch_feel", models.CharField(blank=True, max_length=20, null=True)),
                        ("wheel", models.CharField(blank=True, max_length=20, null=True)),
                        ("wheel_gap", models.CharField(blank=True, max_length=20, null=True)),
                        ("setscrews", models.CharField(blank=True, max_length=20, null=True)),
                        ("rotation", models.CharField(blank=True, max_length=20, null=True)),
                        ("belt", models.CharField(blank=True, max_length=20, null=True)),
                        ("sheaves", models.CharField(blank=True, max_length=20, null=True)),
                        ("bearings", models.CharField(blank=True, max_length=20, null=True)),
                        ("grease_box", models.CharField(blank=True, max_length=20, null=True)),
                        ("guard", models.CharField(blank=True, max_length=20, null=True)),
                        ("curb", models.CharField(blank=True, max_length=20, null=True)),
                        ("hood_switch", models.CharField(blank=True, max_length=20, null=True)),
                        ("heat_sensor", models.CharField(blank=True, max_length=20, null=True)),
                        ("make_up_air", models.CharField(blank=True, max_length=20, null=True)),
                        (
                            "fire_system_start",
                            models.CharField(blank=True, max_length=20, null=True),
                        ),
                        (
                            "overload_present",
                            models.CharField(blank=True, max_length=20, null=True),
                        ),
                        ("capacitor_case", models.CharField(blank=True, max_length=20, null=True)),
                        ("volts_word", models.CharField(blank=True, max_length=20, null=True)),
                        ("amps_absent", models.CharField(blank=True, max_length=20, null=True)),
                        ("amps_place", models.CharField(blank=True, max_length=20, null=True)),
                        (
                            "vibration_detector",
                            models.CharField(blank=True, max_length=20, null=True),
                        ),
                        ("vibration_meter", models.CharField(blank=True, max_length=20, null=True)),
                        ("vibration_hz", models.FloatField(blank=True, null=True)),
                        ("pole_meter", models.CharField(blank=True, max_length=20, null=True)),
                        (
                            "stage",
                            models.CharField(
                                choices=[("as_found", "as found"), ("as_left", "as left")],
                                default="as_found",
                                max_length=8,
                            ),
                        ),
                        ("began_at", models.DateTimeField()),
                        ("typed", models.JSONField(blank=True, default=dict)),
                        ("judged", models.JSONField(blank=True, default=dict)),
                        ("lasting", models.JSONField(blank=True, default=list)),
                        ("recheck_days", models.JSONField(blank=True, default=dict)),
                        ("switch_left", models.CharField(blank=True, max_length=20)),
                        ("notes", models.TextField(blank=True)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="checks",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "machine",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="checks",
                                to="fleet.machine",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="checks",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-began_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Action",
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
                                    ("adjusted", "adjusted"),
                                    ("cleaned", "cleaned"),
                                    ("repaired", "repaired"),
                                    ("replaced", "replaced"),
                                    ("temporary", "temporary"),
                                    ("balanced", "balanced"),
                                    ("speed_changed", "speed_changed"),
                                    ("remounted", "remounted"),
                                    ("regreased", "regreased"),
                                ],
                                max_length=14,
                            ),
                        ),
                        ("item", models.CharField(max_length=40)),
                        ("part", models.CharField(blank=True, max_length=120)),
                        ("note", models.TextField(blank=True)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="actions",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="actions",
                                to="visits.visit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["id"],
                    },
                ),
                migrations.CreateModel(
                    name="VisitAnswer",
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
                        ("year_on", models.DateField()),
                        ("number", models.PositiveSmallIntegerField()),
                        (
                            "answer",
                            models.CharField(
                                choices=[
                                    ("go_ahead", "go ahead"),
                                    ("declined", "declined"),
                                    ("question", "a question"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("decided_on", models.DateField()),
                        ("decided_by", models.CharField(max_length=120)),
                        ("note", models.TextField(blank=True)),
                        ("shown", models.TextField(blank=True)),
                        ("received_at", models.DateTimeField()),
                        (
                            "link",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="visit_answers",
                                to="fleet.ownerlink",
                            ),
                        ),
                        (
                            "recorded_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
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
                                related_name="visit_answers",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["received_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="Event",
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
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("hood_cleaning", "hood_cleaning"),
                                    ("storm", "storm"),
                                    ("power_event", "power_event"),
                                    ("kitchen_change", "kitchen_change"),
                                    ("breaker_reset", "breaker_reset"),
                                ],
                                max_length=16,
                            ),
                        ),
                        ("started_on", models.DateField()),
                        ("started_minute", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("ended_on", models.DateField()),
                        ("ended_minute", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("crew", models.CharField(blank=True, max_length=120)),
                        ("places_cleaned", models.JSONField(blank=True, default=list)),
                        ("places_not_cleaned", models.JSONField(blank=True, default=list)),
                        ("wheel_cleaned", models.BooleanField(default=False)),
                        ("resets", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("running_on", models.DateField(blank=True, null=True)),
                        ("note", models.TextField(blank=True)),
                        ("correction_reason", models.CharField(blank=True, max_length=250)),
                        ("received_at", models.DateTimeField()),
                        ("payload_sha256", models.CharField(max_length=64)),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="events",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "recorded_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="events",
                                to="fleet.site",
                            ),
                        ),
                        (
                            "supersedes",
                            models.OneToOneField(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="superseded_by",
                                to="visits.event",
                            ),
                        ),
                        (
                            "system",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="events",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                        (
                            "tipped_fans",
                            models.ManyToManyField(
                                blank=True, related_name="tippings", to="fleet.fan"
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-ended_on", "id"],
                        "indexes": [
                            models.Index(fields=["site", "-ended_on"], name="event_site_newest"),
                            models.Index(fields=["ended_on", "id"], name="event_in_order"),
                            models.Index(fields=["received_at", "id"], name="event_as_received"),
                        ],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("ended_on__gte", models.F("started_on"))),
                                name="event_ends_after_it_starts",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    ("supersedes__isnull", True),
                                    models.Q(("correction_reason", ""), _negated=True),
                                    _connector="OR",
                                ),
                                name="event_correction_says_why",
                            ),
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Closing",
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
                        ("closed_on", models.DateField()),
                        ("reason", models.CharField(max_length=250)),
                        ("received_at", models.DateTimeField()),
                        ("payload_sha256", models.CharField(blank=True, max_length=64)),
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
                            "finding",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="closings",
                                to="visits.finding",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["closed_on", "id"],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("reason", ""), _negated=True),
                                name="closing_has_a_reason",
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="RunningTold",
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
                        (
                            "answer",
                            models.CharField(
                                choices=[
                                    ("running", "running"),
                                    ("not_running", "not running"),
                                    ("cannot_tell", "cannot tell"),
                                ],
                                max_length=11,
                            ),
                        ),
                        ("told_by", models.CharField(max_length=120)),
                        ("note", models.CharField(blank=True, max_length=500)),
                        ("told_on", models.DateField()),
                        ("received_at", models.DateTimeField()),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="told_running",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "link",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="told_running",
                                to="fleet.ownerlink",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["received_at", "id"],
                        "indexes": [
                            models.Index(fields=["fan", "received_at"], name="told_of_fan")
                        ],
                    },
                ),
                migrations.AddIndex(
                    model_name="visit",
                    index=models.Index(fields=["site", "-began_at"], name="visit_site_newest"),
                ),
                migrations.AddIndex(
                    model_name="visit",
                    index=models.Index(fields=["began_at", "id"], name="visit_in_order"),
                ),
                migrations.AddIndex(
                    model_name="visit",
                    index=models.Index(fields=["received_at", "id"], name="visit_as_received"),
                ),
                migrations.AddConstraint(
                    model_name="visit",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True),
                            ("ended_at__gte", models.F("began_at")),
                            _connector="OR",
                        ),
                        name="visit_ends_after_it_begins",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="visit",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("local_minute__isnull", True),
                            ("local_minute__lt", 1440),
                            _connector="OR",
                        ),
                        name="visit_local_minute_within_a_day",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="visit",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("supersedes__isnull", True),
                            models.Q(("correction_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="visit_correction_says_why",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="systeminspection",
                    constraint=models.UniqueConstraint(
                        fields=("visit", "system"), name="inspection_once_per_visit"
                    ),
                ),
                migrations.AddIndex(
                    model_name="photo",
                    index=models.Index(fields=["received_at", "id"], name="photo_in_order"),
                ),
                migrations.AddIndex(
                    model_name="photo",
                    index=models.Index(
                        fields=["fan", "received_at", "id"], name="photo_fan_in_order"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="photo",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at", None), ("withdrawn_reason", "")),
                            models.Q(
                                ("withdrawn_at__isnull", False),
                                models.Q(("withdrawn_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="photo_withdrawn_says_why",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="photo",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("fan__isnull", False),
                            models.Q(("finding", None), ("subject", "")),
                            _connector="OR",
                        ),
                        name="photo_about_names_its_fan",
                    ),
                ),
                migrations.AddIndex(
                    model_name="notreached",
                    index=models.Index(
                        condition=models.Q(("item", ""), ("reason", "no_access")),
                        fields=["visit"],
                        name="not_reached_no_access",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="finding",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("verdict__in", ("watch", "act", "stop"))),
                        name="finding_verdict_opens",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="finding",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("lasting", True), ("verdict", "stop"), _negated=True),
                        name="finding_stop_is_never_lasting",
                    ),
                ),
                migrations.AddIndex(
                    model_name="check",
                    index=models.Index(fields=["fan", "began_at"], name="check_fan_time"),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.UniqueConstraint(
                        fields=("visit", "fan", "stage"), name="check_one_per_visit_fan_stage"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("volts_ab_v__isnull", True),
                            ("volts_ab_v__range", (0, 700)),
                            _connector="OR",
                        ),
                        name="check_volts_ab_v",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("volts_bc_v__isnull", True),
                            ("volts_bc_v__range", (0, 700)),
                            _connector="OR",
                        ),
                        name="check_volts_bc_v",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("volts_ca_v__isnull", True),
                            ("volts_ca_v__range", (0, 700)),
                            _connector="OR",
                        ),
                        name="check_volts_ca_v",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("amps_a_a__isnull", True),
                            ("amps_a_a__range", (0, 200)),
                            _connector="OR",
                        ),
                        name="check_amps_a_a",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("amps_b_a__isnull", True),
                            ("amps_b_a__range", (0, 200)),
                            _connector="OR",
                        ),
                        name="check_amps_b_a",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("amps_c_a__isnull", True),
                            ("amps_c_a__range", (0, 200)),
                            _connector="OR",
                        ),
                        name="check_amps_c_a",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("overload_setting_a__isnull", True),
                            ("overload_setting_a__range", (0, 200)),
                            _connector="OR",
                        ),
                        name="check_overload_setting_a",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("breaker_a__isnull", True),
                            ("breaker_a__range", (1, 400)),
                            _connector="OR",
                        ),
                        name="check_breaker_a",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("winding_ab_ohm__isnull", True),
                            ("winding_ab_ohm__range", (0, 5000)),
                            _connector="OR",
                        ),
                        name="check_winding_ab_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("winding_bc_ohm__isnull", True),
                            ("winding_bc_ohm__range", (0, 5000)),
                            _connector="OR",
                        ),
                        name="check_winding_bc_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("winding_ca_ohm__isnull", True),
                            ("winding_ca_ohm__range", (0, 5000)),
                            _connector="OR",
                        ),
                        name="check_winding_ca_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("insulation_megohm__isnull", True),
                            ("insulation_megohm__range", (0, 1000000)),
                            _connector="OR",
                        ),
                        name="check_insulation_megohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("insulation_temperature_c__isnull", True),
                            ("insulation_temperature_c__range", (-40, 180)),
                            _connector="OR",
                        ),
                        name="check_insulation_temperature_c",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("pole_1_ohm__isnull", True),
                            ("pole_1_ohm__range", (0, 1000000)),
                            _connector="OR",
                        ),
                        name="check_pole_1_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("pole_2_ohm__isnull", True),
                            ("pole_2_ohm__range", (0, 1000000)),
                            _connector="OR",
                        ),
                        name="check_pole_2_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("pole_3_ohm__isnull", True),
                            ("pole_3_ohm__range", (0, 1000000)),
                            _connector="OR",
                        ),
                        name="check_pole_3_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("lead_zero_ohm__isnull", True),
                            ("lead_zero_ohm__range", (0, 10)),
                            _connector="OR",
                        ),
                        name="check_lead_zero_ohm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("capacitor_uf__isnull", True),
                            ("capacitor_uf__range", (0, 500)),
                            _connector="OR",
                        ),
                        name="check_capacitor_uf",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_motor_radial_mm_s__isnull", True),
                            ("vibration_motor_radial_mm_s__range", (0, 100)),
                            _connector="OR",
                        ),
                        name="check_vibration_motor_radial_mm_s",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_motor_axial_mm_s__isnull", True),
                            ("vibration_motor_axial_mm_s__range", (0, 100)),
                            _connector="OR",
                        ),
                        name="check_vibration_motor_axial_mm_s",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_bearing_radial_mm_s__isnull", True),
                            ("vibration_bearing_radial_mm_s__range", (0, 100)),
                            _connector="OR",
                        ),
                        name="check_vibration_bearing_radial_mm_s",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_bearing_axial_mm_s__isnull", True),
                            ("vibration_bearing_axial_mm_s__range", (0, 100)),
                            _connector="OR",
                        ),
                        name="check_vibration_bearing_axial_mm_s",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_curb_mm_s__isnull", True),
                            ("vibration_curb_mm_s__range", (0, 100)),
                            _connector="OR",
                        ),
                        name="check_vibration_curb_mm_s",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_hood_low_um__isnull", True),
                            ("grease_hood_low_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_hood_low_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_hood_high_um__isnull", True),
                            ("grease_hood_high_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_hood_high_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_duct_low_um__isnull", True),
                            ("grease_duct_low_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_duct_low_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_duct_high_um__isnull", True),
                            ("grease_duct_high_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_duct_high_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_housing_low_um__isnull", True),
                            ("grease_housing_low_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_housing_low_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_housing_high_um__isnull", True),
                            ("grease_housing_high_um__range", (0, 20000)),
                            _connector="OR",
                        ),
                        name="check_grease_housing_high_um",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("temperature_difference_k__isnull", True),
                            ("temperature_difference_k__range", (0, 300)),
                            _connector="OR",
                        ),
                        name="check_temperature_difference_k",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("belt_deflection_mm__isnull", True),
                            ("belt_deflection_mm__range", (0, 200)),
                            _connector="OR",
                        ),
                        name="check_belt_deflection_mm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("belt_span_mm__isnull", True),
                            ("belt_span_mm__range", (50, 5000)),
                            _connector="OR",
                        ),
                        name="check_belt_span_mm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("sheave_wear_mm__isnull", True),
                            ("sheave_wear_mm__range", (0, 20)),
                            _connector="OR",
                        ),
                        name="check_sheave_wear_mm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("hour_meter_h__isnull", True),
                            ("hour_meter_h__range", (0, 10000000)),
                            _connector="OR",
                        ),
                        name="check_hour_meter_h",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("speed_rpm__isnull", True),
                            ("speed_rpm__range", (0, 10000)),
                            _connector="OR",
                        ),
                        name="check_speed_rpm",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("supply_hz__isnull", True),
                            ("supply_hz__range", (0, 400)),
                            _connector="OR",
                        ),
                        name="check_supply_hz",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("running__isnull", True),
                            ("running__in", ("runs", "off_by_request", "dead")),
                            _connector="OR",
                        ),
                        name="check_running",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("noise__isnull", True),
                            ("noise__in", ("usual", "new", "grinding")),
                            _connector="OR",
                        ),
                        name="check_noise",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_felt__isnull", True),
                            ("vibration_felt__in", ("none", "slight", "strong", "violent")),
                            _connector="OR",
                        ),
                        name="check_vibration_felt",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("motor_vents__isnull", True),
                            ("motor_vents__in", ("clear", "dusty", "plugged")),
                            _connector="OR",
                        ),
                        name="check_motor_vents",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("corrosion__isnull", True),
                            ("corrosion__in", ("none", "surface", "deep", "holed")),
                            _connector="OR",
                        ),
                        name="check_corrosion",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("hinge__isnull", True),
                            ("hinge__in", ("sound", "loose", "broken", "none")),
                            _connector="OR",
                        ),
                        name="check_hinge",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("catch__isnull", True),
                            ("catch__in", ("engaged", "defeatable", "missing", "defeated")),
                            _connector="OR",
                        ),
                        name="check_catch",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("cable__isnull", True),
                            ("cable__in", ("sound", "stretched", "damaged", "bare")),
                            _connector="OR",
                        ),
                        name="check_cable",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("switch_cover__isnull", True),
                            ("switch_cover__in", ("tight", "loose", "open")),
                            _connector="OR",
                        ),
                        name="check_switch_cover",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("switch_feel__isnull", True),
                            ("switch_feel__in", ("crisp", "loose")),
                            _connector="OR",
                        ),
                        name="check_switch_feel",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("wheel__isnull", True),
                            ("wheel__in", ("clean", "dirty", "dented", "rubbing")),
                            _connector="OR",
                        ),
                        name="check_wheel",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("wheel_gap__isnull", True),
                            ("wheel_gap__in", ("even", "uneven", "touching")),
                            _connector="OR",
                        ),
                        name="check_wheel_gap",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("setscrews__isnull", True),
                            ("setscrews__in", ("tight", "found_loose")),
                            _connector="OR",
                        ),
                        name="check_setscrews",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("rotation__isnull", True),
                            ("rotation__in", ("right", "wrong")),
                            _connector="OR",
                        ),
                        name="check_rotation",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("belt__isnull", True),
                            ("belt__in", ("sound", "worn", "cracked", "glazed", "missing")),
                            _connector="OR",
                        ),
                        name="check_belt",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("sheaves__isnull", True),
                            ("sheaves__in", ("sound", "worn", "cracked", "missing")),
                            _connector="OR",
                        ),
                        name="check_sheaves",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("bearings__isnull", True),
                            ("bearings__in", ("quiet", "noisy", "hot", "rough")),
                            _connector="OR",
                        ),
                        name="check_bearings",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("grease_box__isnull", True),
                            ("grease_box__in", ("fine", "full", "overflowing")),
                            _connector="OR",
                        ),
                        name="check_grease_box",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("guard__isnull", True), ("guard__in", ("on", "off")), _connector="OR"
                        ),
                        name="check_guard",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("curb__isnull", True),
                            ("curb__in", ("tight", "leaking", "loose")),
                            _connector="OR",
                        ),
                        name="check_curb",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("hood_switch__isnull", True),
                            ("hood_switch__in", ("works", "doubtful", "fails")),
                            _connector="OR",
                        ),
                        name="check_hood_switch",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("heat_sensor__isnull", True),
                            ("heat_sensor__in", ("works", "doubtful", "fails")),
                            _connector="OR",
                        ),
                        name="check_heat_sensor",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("make_up_air__isnull", True),
                            ("make_up_air__in", ("follows", "does_not_follow")),
                            _connector="OR",
                        ),
                        name="check_make_up_air",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("fire_system_start__isnull", True),
                            ("fire_system_start__in", ("witnessed", "not_seen")),
                            _connector="OR",
                        ),
                        name="check_fire_system_start",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("overload_present__isnull", True),
                            ("overload_present__in", ("present", "none")),
                            _connector="OR",
                        ),
                        name="check_overload_present",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("capacitor_case__isnull", True),
                            ("capacitor_case__in", ("sound", "bulged")),
                            _connector="OR",
                        ),
                        name="check_capacitor_case",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("volts_word__isnull", True),
                            ("volts_word__in", ("given_by_qualified", "not_measured")),
                            _connector="OR",
                        ),
                        name="check_volts_word",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("amps_absent__isnull", True),
                            ("amps_absent__in", ("not_measured",)),
                            _connector="OR",
                        ),
                        name="check_amps_absent",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("amps_place__isnull", True),
                            ("amps_place__in", ("line", "drive_output")),
                            _connector="OR",
                        ),
                        name="check_amps_place",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_detector__isnull", True),
                            ("vibration_detector__in", ("rms", "peak")),
                            _connector="OR",
                        ),
                        name="check_vibration_detector",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_meter__isnull", True),
                            ("vibration_meter__in", ("overall", "spectrum", "phone")),
                            _connector="OR",
                        ),
                        name="check_vibration_meter",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("vibration_hz__isnull", True),
                            ("vibration_hz__range", (0, 400)),
                            _connector="OR",
                        ),
                        name="check_vibration_hz",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="check",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("pole_meter__isnull", True),
                            ("pole_meter__in", ("low_resistance", "multimeter")),
                            _connector="OR",
                        ),
                        name="check_pole_meter",
                    ),
                ),
                migrations.AddIndex(
                    model_name="visitanswer",
                    index=models.Index(fields=["site", "year_on"], name="visit_answer_of_site"),
                ),
                migrations.AddConstraint(
                    model_name="visitanswer",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("link", None), ("recorded_by__isnull", False)),
                            models.Q(("link__isnull", False), ("recorded_by", None)),
                            _connector="OR",
                        ),
                        name="visit_answer_by_a_link_or_a_planner",
                    ),
                ),
            ]
        ),
    ]
