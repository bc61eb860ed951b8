"""All tables of fleet as they stand after 0008_days_off_of_everybody, made at once."""

import uuid

import django.contrib.auth.models
import django.contrib.auth.validators
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models

import fleet.models.sites
from config.tables_at_once import TablesAtOnce


class Migration(migrations.Migration):
    replaces = [
        ("fleet", "0001_initial"),
        ("fleet", "0002_machine_phases"),
        ("fleet", "0003_device_keys"),
        ("fleet", "0004_owner_links"),
        ("fleet", "0005_site_prices"),
        ("fleet", "0006_guesses_counted_for_all_hosts"),
        ("fleet", "0007_working_weeks_and_blockers"),
        ("fleet", "0008_days_off_of_everybody"),
    ]

    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        TablesAtOnce(
            [
                migrations.CreateModel(
                    name="ExhaustSystem",
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
                        ("name", models.CharField(max_length=80)),
                        ("make_up_air_interlock", models.BooleanField(blank=True, null=True)),
                        ("fire_system_interlock", models.BooleanField(blank=True, null=True)),
                        ("cleaning_crew", models.CharField(blank=True, max_length=120)),
                        ("notes", models.TextField(blank=True)),
                    ],
                    options={
                        "ordering": ["site_id", "name"],
                    },
                ),
                migrations.CreateModel(
                    name="LinkGuesses",
                    fields=[
                        (
                            "address",
                            models.CharField(max_length=64, primary_key=True, serialize=False),
                        ),
                        ("since", models.DateTimeField()),
                        ("guesses", models.PositiveIntegerField()),
                    ],
                ),
                migrations.CreateModel(
                    name="Owner",
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
                        ("name", models.CharField(max_length=120, unique=True)),
                        ("email", models.EmailField(blank=True, max_length=254)),
                        ("phone", models.CharField(blank=True, max_length=40)),
                        ("notes", models.TextField(blank=True)),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="Person",
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
                        ("password", models.CharField(max_length=128, verbose_name="password")),
                        (
                            "last_login",
                            models.DateTimeField(blank=True, null=True, verbose_name="last login"),
                        ),
                        (
                            "is_superuser",
                            models.BooleanField(
                                default=False,
                                help_text="Designates that this user has all permissions without explicitly assigning them.",
                                verbose_name="superuser status",
                            ),
                        ),
                        (
                            "username",
                            models.CharField(
                                error_messages={
                                    "unique": "A user with that username already exists."
                                },
                                help_text="Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.",
                                max_length=150,
                                unique=True,
                                validators=[
                                    django.contrib.auth.validators.UnicodeUsernameValidator()
                                ],
                                verbose_name="username",
                            ),
                        ),
                        (
                            "first_name",
                            models.CharField(blank=True, max_length=150, verbose_name="first name"),
                        ),
                        (
                            "last_name",
                            models.CharField(blank=True, max_length=150, verbose_name="last name"),
                        ),
                        (
                            "email",
                            models.EmailField(
                                blank=True, max_length=254, verbose_name="email address"
                            ),
                        ),
                        (
                            "is_staff",
                            models.BooleanField(
                                default=False,
                                help_text="Designates whether the user can log into this admin site.",
                                verbose_name="staff status",
                            ),
                        ),
                        (
                            "is_active",
                            models.BooleanField(
                                default=True,
                                help_text="Designates whether this user should be treated as active. Unselect this instead of deleting accounts.",
                                verbose_name="active",
                            ),
                        ),
                        (
                            "date_joined",
                            models.DateTimeField(
                                default=django.utils.timezone.now, verbose_name="date joined"
                            ),
                        ),
                        (
                            "role",
                            models.CharField(
                                choices=[
                                    ("manager", "manager"),
                                    ("dispatcher", "dispatcher"),
                                    ("technician", "technician"),
                                    ("owner", "owner"),
                                ],
                                default="technician",
                                max_length=12,
                            ),
                        ),
                        ("qualified_code_inspection", models.BooleanField(default=False)),
                        ("qualified_energised_work", models.BooleanField(default=False)),
                        ("qualified_lift", models.BooleanField(default=False)),
                        (
                            "groups",
                            models.ManyToManyField(
                                blank=True,
                                help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                                related_name="user_set",
                                related_query_name="user",
                                to="auth.group",
                                verbose_name="groups",
                            ),
                        ),
                        (
                            "user_permissions",
                            models.ManyToManyField(
                                blank=True,
                                help_text="Specific permissions for this user.",
                                related_name="user_set",
                                related_query_name="user",
                                to="auth.permission",
                                verbose_name="user permissions",
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="people",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "user",
                        "verbose_name_plural": "people",
                        "abstract": False,
                    },
                    managers=[
                        ("objects", django.contrib.auth.models.UserManager()),
                    ],
                ),
                migrations.CreateModel(
                    name="DeviceKey",
                    fields=[
                        (
                            "digest",
                            models.CharField(max_length=128, primary_key=True, serialize=False),
                        ),
                        ("token_key", models.CharField(db_index=True, max_length=25)),
                        ("created", models.DateTimeField(auto_now_add=True)),
                        ("expiry", models.DateTimeField(blank=True, null=True)),
                        ("id", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                        ("name", models.CharField(max_length=80)),
                        (
                            "user",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="auth_token_set",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["created"],
                    },
                ),
                migrations.CreateModel(
                    name="Fan",
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
                        ("tag", models.CharField(max_length=40)),
                        ("place", models.CharField(blank=True, max_length=120)),
                        ("entered_on", models.DateField()),
                        ("onboarding_on", models.DateField(blank=True, null=True)),
                        ("hour_meter_digits", models.PositiveSmallIntegerField(default=6)),
                        ("notes", models.TextField(blank=True)),
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="fans",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["site_id", "tag"],
                    },
                ),
                migrations.CreateModel(
                    name="HistoricalDaysOff",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("first_on", models.DateField()),
                        ("last_on", models.DateField()),
                        ("reason", models.CharField(blank=True, max_length=120)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "technician",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical days off",
                        "verbose_name_plural": "historical days off",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalFeed",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("valid_from", models.DateField(blank=True, null=True)),
                        ("panel", models.CharField(blank=True, max_length=40)),
                        ("circuit", models.CharField(blank=True, max_length=20)),
                        ("poles", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("breaker_a", models.FloatField(blank=True, null=True)),
                        ("service_volts", models.FloatField(blank=True, null=True)),
                        ("connected_volts", models.CharField(blank=True, max_length=20)),
                        ("connected_confirmed", models.BooleanField(default=False)),
                        ("starter", models.CharField(blank=True, max_length=80)),
                        ("overload_setting_a", models.FloatField(blank=True, null=True)),
                        ("overload_present", models.BooleanField(blank=True, null=True)),
                        (
                            "control",
                            models.CharField(
                                choices=[
                                    ("none", "none"),
                                    ("triac", "triac"),
                                    ("drive", "drive"),
                                    ("drive_bypassed", "drive_bypassed"),
                                ],
                                default="none",
                                max_length=14,
                            ),
                        ),
                        ("drive_input_volts", models.FloatField(blank=True, null=True)),
                        ("switch", models.CharField(blank=True, max_length=80)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical feed",
                        "verbose_name_plural": "historical feeds",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalMachine",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("installed_on", models.DateField(blank=True, null=True)),
                        ("removed_on", models.DateField(blank=True, null=True)),
                        ("first_here", models.BooleanField(default=True)),
                        ("supplied_by", models.CharField(blank=True, max_length=40)),
                        ("warranty_until", models.DateField(blank=True, null=True)),
                        ("model", models.CharField(blank=True, max_length=80)),
                        ("serial", models.CharField(blank=True, max_length=80)),
                        (
                            "drive",
                            models.CharField(
                                choices=[("direct", "direct"), ("belt", "belt")],
                                default="direct",
                                max_length=6,
                            ),
                        ),
                        (
                            "motor_type",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("three_phase", "three_phase"),
                                    ("psc", "psc"),
                                    ("ec", "ec"),
                                    ("other", "other"),
                                ],
                                max_length=12,
                            ),
                        ),
                        (
                            "phases",
                            models.PositiveSmallIntegerField(
                                blank=True, choices=[(1, "1"), (3, "3")], null=True
                            ),
                        ),
                        ("volts", models.CharField(blank=True, max_length=30)),
                        ("full_load_amps", models.CharField(blank=True, max_length=30)),
                        ("power_hp", models.FloatField(blank=True, null=True)),
                        ("speed_rpm", models.FloatField(blank=True, null=True)),
                        ("hertz", models.FloatField(blank=True, null=True)),
                        ("service_factor", models.FloatField(blank=True, null=True)),
                        ("insulation_class", models.CharField(blank=True, max_length=2)),
                        ("ambient_c", models.FloatField(blank=True, null=True)),
                        ("temperature_rise_c", models.FloatField(blank=True, null=True)),
                        ("frame", models.CharField(blank=True, max_length=12)),
                        ("thermally_protected", models.BooleanField(blank=True, null=True)),
                        (
                            "bearings",
                            models.CharField(
                                blank=True,
                                choices=[("sealed", "sealed"), ("greased", "greased")],
                                max_length=8,
                            ),
                        ),
                        (
                            "bearing_type",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("ball", "ball"),
                                    ("cylindrical", "cylindrical"),
                                    ("spherical", "spherical"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("bore_mm", models.FloatField(blank=True, null=True)),
                        ("shaft_rpm", models.FloatField(blank=True, null=True)),
                        ("capacitor_uf", models.FloatField(blank=True, null=True)),
                        ("capacitor_tolerance_percent", models.FloatField(blank=True, null=True)),
                        ("wheel", models.CharField(blank=True, max_length=80)),
                        ("belt", models.CharField(blank=True, max_length=40)),
                        ("sheaves", models.CharField(blank=True, max_length=80)),
                        (
                            "mounting",
                            models.CharField(
                                blank=True,
                                choices=[("rigid", "rigid"), ("flexible", "flexible")],
                                max_length=8,
                            ),
                        ),
                        (
                            "shaft",
                            models.CharField(
                                choices=[("vertical", "vertical"), ("horizontal", "horizontal")],
                                default="vertical",
                                max_length=10,
                            ),
                        ),
                        ("maker_regrease_h", models.FloatField(blank=True, null=True)),
                        ("weight_kg", models.FloatField(blank=True, null=True)),
                        ("unreadable", models.JSONField(blank=True, default=list)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical machine",
                        "verbose_name_plural": "historical machines",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalOwner",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(db_index=True, max_length=120)),
                        ("email", models.EmailField(blank=True, max_length=254)),
                        ("phone", models.CharField(blank=True, max_length=40)),
                        ("notes", models.TextField(blank=True)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical owner",
                        "verbose_name_plural": "historical owners",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalWorkingWeek",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("base", models.CharField(blank=True, max_length=250)),
                        ("latitude", models.FloatField()),
                        ("longitude", models.FloatField()),
                        ("hours", models.JSONField(default=list)),
                        (
                            "overtime_minutes",
                            models.PositiveSmallIntegerField(
                                default=0,
                                validators=[django.core.validators.MaxValueValidator(300)],
                            ),
                        ),
                        (
                            "reserve_minutes",
                            models.PositiveSmallIntegerField(
                                default=60,
                                validators=[django.core.validators.MaxValueValidator(480)],
                            ),
                        ),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "technician",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical working week",
                        "verbose_name_plural": "historical working weeks",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalSite",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("address", models.CharField(blank=True, max_length=250)),
                        ("country", models.CharField(default="US", max_length=2)),
                        ("latitude", models.FloatField(blank=True, null=True)),
                        ("longitude", models.FloatField(blank=True, null=True)),
                        (
                            "time_zone",
                            models.CharField(
                                max_length=40, validators=[fleet.models.sites.validate_time_zone]
                            ),
                        ),
                        (
                            "surroundings",
                            models.CharField(
                                choices=[
                                    ("inland", "inland"),
                                    ("coastal", "coastal"),
                                    ("corrosive", "corrosive"),
                                ],
                                default="inland",
                                max_length=9,
                            ),
                        ),
                        ("roof_access_hours", models.JSONField(blank=True, null=True)),
                        ("fan_stop_hours", models.JSONField(blank=True, null=True)),
                        ("access_minutes", models.PositiveSmallIntegerField(default=15)),
                        ("access_notes", models.TextField(blank=True)),
                        ("lift_notes", models.TextField(blank=True)),
                        (
                            "closed_hour_cost",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(0)],
                            ),
                        ),
                        (
                            "closed_hours",
                            models.FloatField(
                                blank=True,
                                null=True,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(2000),
                                ],
                            ),
                        ),
                        (
                            "lapsed_week_cost",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(0)],
                            ),
                        ),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical site",
                        "verbose_name_plural": "historical sites",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalPerson",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        (
                            "last_login",
                            models.DateTimeField(blank=True, null=True, verbose_name="last login"),
                        ),
                        (
                            "is_superuser",
                            models.BooleanField(
                                default=False,
                                help_text="Designates that this user has all permissions without explicitly assigning them.",
                                verbose_name="superuser status",
                            ),
                        ),
                        (
                            "username",
                            models.CharField(
                                db_index=True,
                                error_messages={
                                    "unique": "A user with that username already exists."
                                },
                                help_text="Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.",
                                max_length=150,
                                validators=[
                                    django.contrib.auth.validators.UnicodeUsernameValidator()
                                ],
                                verbose_name="username",
                            ),
                        ),
                        (
                            "first_name",
                            models.CharField(blank=True, max_length=150, verbose_name="first name"),
                        ),
                        (
                            "last_name",
                            models.CharField(blank=True, max_length=150, verbose_name="last name"),
                        ),
                        (
                            "email",
                            models.EmailField(
                                blank=True, max_length=254, verbose_name="email address"
                            ),
                        ),
                        (
                            "is_staff",
                            models.BooleanField(
                                default=False,
                                help_text="Designates whether the user can log into this admin site.",
                                verbose_name="staff status",
                            ),
                        ),
                        (
                            "is_active",
                            models.BooleanField(
                                default=True,
                                help_text="Designates whether this user should be treated as active. Unselect this instead of deleting accounts.",
                                verbose_name="active",
                            ),
                        ),
                        (
                            "date_joined",
                            models.DateTimeField(
                                default=django.utils.timezone.now, verbose_name="date joined"
                            ),
                        ),
                        (
                            "role",
                            models.CharField(
                                choices=[
                                    ("manager", "manager"),
                                    ("dispatcher", "dispatcher"),
                                    ("technician", "technician"),
                                    ("owner", "owner"),
                                ],
                                default="technician",
                                max_length=12,
                            ),
                        ),
                        ("qualified_code_inspection", models.BooleanField(default=False)),
                        ("qualified_energised_work", models.BooleanField(default=False)),
                        ("qualified_lift", models.BooleanField(default=False)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical user",
                        "verbose_name_plural": "historical people",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalAgreement",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("starts_on", models.DateField()),
                        ("ends_on", models.DateField(blank=True, null=True)),
                        (
                            "visits_per_year",
                            models.PositiveSmallIntegerField(
                                blank=True,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(1)],
                            ),
                        ),
                        (
                            "reliability",
                            models.CharField(
                                choices=[("low", "low"), ("medium", "medium"), ("high", "high")],
                                default="medium",
                                max_length=6,
                            ),
                        ),
                        ("stretching_allowed", models.BooleanField(default=False)),
                        (
                            "spending_limit",
                            models.DecimalField(
                                blank=True, decimal_places=2, max_digits=10, null=True
                            ),
                        ),
                        ("notes", models.TextField(blank=True)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical agreement",
                        "verbose_name_plural": "historical agreements",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="Site",
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
                        ("name", models.CharField(max_length=120)),
                        ("address", models.CharField(blank=True, max_length=250)),
                        ("country", models.CharField(default="US", max_length=2)),
                        ("latitude", models.FloatField(blank=True, null=True)),
                        ("longitude", models.FloatField(blank=True, null=True)),
                        (
                            "time_zone",
                            models.CharField(
                                max_length=40, validators=[fleet.models.sites.validate_time_zone]
                            ),
                        ),
                        (
                            "surroundings",
                            models.CharField(
                                choices=[
                                    ("inland", "inland"),
                                    ("coastal", "coastal"),
                                    ("corrosive", "corrosive"),
                                ],
                                default="inland",
                                max_length=9,
                            ),
                        ),
                        ("roof_access_hours", models.JSONField(blank=True, null=True)),
                        ("fan_stop_hours", models.JSONField(blank=True, null=True)),
                        ("access_minutes", models.PositiveSmallIntegerField(default=15)),
                        ("access_notes", models.TextField(blank=True)),
                        ("lift_notes", models.TextField(blank=True)),
                        (
                            "closed_hour_cost",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(0)],
                            ),
                        ),
                        (
                            "closed_hours",
                            models.FloatField(
                                blank=True,
                                null=True,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(2000),
                                ],
                            ),
                        ),
                        (
                            "lapsed_week_cost",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(0)],
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="sites",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="OwnerLink",
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
                        (
                            "purpose",
                            models.CharField(
                                choices=[
                                    ("page", "the owner's page"),
                                    ("running", "are the fans running"),
                                ],
                                max_length=8,
                            ),
                        ),
                        ("sent_to", models.EmailField(blank=True, max_length=254)),
                        ("made_at", models.DateTimeField()),
                        ("expires_at", models.DateTimeField()),
                        ("revoked_at", models.DateTimeField(blank=True, null=True)),
                        ("used_on", models.DateField(blank=True, null=True)),
                        (
                            "made_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "owner",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="links",
                                to="fleet.owner",
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="links",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["made_at", "id"],
                    },
                ),
                migrations.CreateModel(
                    name="HistoricalFan",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("tag", models.CharField(max_length=40)),
                        ("place", models.CharField(blank=True, max_length=120)),
                        ("entered_on", models.DateField()),
                        ("onboarding_on", models.DateField(blank=True, null=True)),
                        ("hour_meter_digits", models.PositiveSmallIntegerField(default=6)),
                        ("notes", models.TextField(blank=True)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "system",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical fan",
                        "verbose_name_plural": "historical fans",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalExhaustSystem",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=80)),
                        ("make_up_air_interlock", models.BooleanField(blank=True, null=True)),
                        ("fire_system_interlock", models.BooleanField(blank=True, null=True)),
                        ("cleaning_crew", models.CharField(blank=True, max_length=120)),
                        ("notes", models.TextField(blank=True)),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical exhaust system",
                        "verbose_name_plural": "historical exhaust systems",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name="HistoricalBlocker",
                    fields=[
                        (
                            "id",
                            models.BigIntegerField(
                                auto_created=True, blank=True, db_index=True, verbose_name="ID"
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("lift", "lift"),
                                    ("crane", "crane"),
                                    ("permit", "permit"),
                                    ("second_person", "second person"),
                                    ("parts", "parts not arrived"),
                                ],
                                max_length=13,
                            ),
                        ),
                        ("note", models.CharField(blank=True, max_length=250)),
                        ("since_on", models.DateField()),
                        (
                            "cleared_on",
                            models.DateField(
                                blank=True,
                                help_text="the day from which it is there; it may lie ahead",
                                null=True,
                            ),
                        ),
                        ("history_id", models.AutoField(primary_key=True, serialize=False)),
                        ("history_date", models.DateTimeField(db_index=True)),
                        ("history_change_reason", models.CharField(max_length=100, null=True)),
                        (
                            "history_type",
                            models.CharField(
                                choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")],
                                max_length=1,
                            ),
                        ),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "history_user",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                blank=True,
                                db_constraint=False,
                                null=True,
                                on_delete=django.db.models.deletion.DO_NOTHING,
                                related_name="+",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name": "historical blocker",
                        "verbose_name_plural": "historical blockers",
                        "ordering": ("-history_date", "-history_id"),
                        "get_latest_by": ("history_date", "history_id"),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.AddField(
                    model_name="fan",
                    name="site",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="fans",
                        to="fleet.site",
                    ),
                ),
                migrations.AddField(
                    model_name="exhaustsystem",
                    name="site",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="systems",
                        to="fleet.site",
                    ),
                ),
                migrations.CreateModel(
                    name="Blocker",
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
                                    ("lift", "lift"),
                                    ("crane", "crane"),
                                    ("permit", "permit"),
                                    ("second_person", "second person"),
                                    ("parts", "parts not arrived"),
                                ],
                                max_length=13,
                            ),
                        ),
                        ("note", models.CharField(blank=True, max_length=250)),
                        ("since_on", models.DateField()),
                        (
                            "cleared_on",
                            models.DateField(
                                blank=True,
                                help_text="the day from which it is there; it may lie ahead",
                                null=True,
                            ),
                        ),
                        (
                            "fan",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="blockers",
                                to="fleet.fan",
                            ),
                        ),
                        (
                            "site",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="blockers",
                                to="fleet.site",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["since_on", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="WorkingWeek",
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
                        ("base", models.CharField(blank=True, max_length=250)),
                        ("latitude", models.FloatField()),
                        ("longitude", models.FloatField()),
                        ("hours", models.JSONField(default=list)),
                        (
                            "overtime_minutes",
                            models.PositiveSmallIntegerField(
                                default=0,
                                validators=[django.core.validators.MaxValueValidator(300)],
                            ),
                        ),
                        (
                            "reserve_minutes",
                            models.PositiveSmallIntegerField(
                                default=60,
                                validators=[django.core.validators.MaxValueValidator(480)],
                            ),
                        ),
                        (
                            "technician",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="working_week",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["technician_id"],
                    },
                ),
                migrations.CreateModel(
                    name="DaysOff",
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
                        ("first_on", models.DateField()),
                        ("last_on", models.DateField()),
                        ("reason", models.CharField(blank=True, max_length=120)),
                        (
                            "technician",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="days_off",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                    ],
                    options={
                        "verbose_name_plural": "days off",
                        "ordering": ["first_on", "pk"],
                        "indexes": [
                            models.Index(fields=["last_on", "first_on"], name="days_off_by_day")
                        ],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("last_on__gte", models.F("first_on"))),
                                name="days_off_end_after_they_begin",
                                violation_error_message="The last day lies before the first; correct one of them.",
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="CookingPeriod",
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
                        ("valid_from", models.DateField()),
                        ("classes", models.JSONField(default=list)),
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="cooking",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["valid_from"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("system", "valid_from"), name="cooking_one_per_day"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="ClosedDay",
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
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="closed_days",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["day"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("system", "day"), name="closed_day_once_per_system"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="ExpectedCleaning",
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
                        ("crew", models.CharField(blank=True, max_length=120)),
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="expected_cleanings",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["day"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("system", "day"), name="expected_cleaning_once_per_system"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Feed",
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
                        ("valid_from", models.DateField(blank=True, null=True)),
                        ("panel", models.CharField(blank=True, max_length=40)),
                        ("circuit", models.CharField(blank=True, max_length=20)),
                        ("poles", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("breaker_a", models.FloatField(blank=True, null=True)),
                        ("service_volts", models.FloatField(blank=True, null=True)),
                        ("connected_volts", models.CharField(blank=True, max_length=20)),
                        ("connected_confirmed", models.BooleanField(default=False)),
                        ("starter", models.CharField(blank=True, max_length=80)),
                        ("overload_setting_a", models.FloatField(blank=True, null=True)),
                        ("overload_present", models.BooleanField(blank=True, null=True)),
                        (
                            "control",
                            models.CharField(
                                choices=[
                                    ("none", "none"),
                                    ("triac", "triac"),
                                    ("drive", "drive"),
                                    ("drive_bypassed", "drive_bypassed"),
                                ],
                                default="none",
                                max_length=14,
                            ),
                        ),
                        ("drive_input_volts", models.FloatField(blank=True, null=True)),
                        ("switch", models.CharField(blank=True, max_length=80)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="feeds",
                                to="fleet.fan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": [
                            "fan_id",
                            models.OrderBy(models.F("valid_from"), nulls_first=True),
                        ],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("fan", "valid_from"), name="feed_one_per_fan_and_day"
                            ),
                            models.UniqueConstraint(
                                condition=models.Q(("valid_from__isnull", True)),
                                fields=("fan",),
                                name="feed_one_since_always_per_fan",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    ("poles__isnull", True),
                                    ("poles__range", (1, 3)),
                                    _connector="OR",
                                ),
                                name="feed_poles_1_to_3",
                            ),
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Machine",
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
                        ("installed_on", models.DateField(blank=True, null=True)),
                        ("removed_on", models.DateField(blank=True, null=True)),
                        ("first_here", models.BooleanField(default=True)),
                        ("supplied_by", models.CharField(blank=True, max_length=40)),
                        ("warranty_until", models.DateField(blank=True, null=True)),
                        ("model", models.CharField(blank=True, max_length=80)),
                        ("serial", models.CharField(blank=True, max_length=80)),
                        (
                            "drive",
                            models.CharField(
                                choices=[("direct", "direct"), ("belt", "belt")],
                                default="direct",
                                max_length=6,
                            ),
                        ),
                        (
                            "motor_type",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("three_phase", "three_phase"),
                                    ("psc", "psc"),
                                    ("ec", "ec"),
                                    ("other", "other"),
                                ],
                                max_length=12,
                            ),
                        ),
                        (
                            "phases",
                            models.PositiveSmallIntegerField(
                                blank=True, choices=[(1, "1"), (3, "3")], null=True
                            ),
                        ),
                        ("volts", models.CharField(blank=True, max_length=30)),
                        ("full_load_amps", models.CharField(blank=True, max_length=30)),
                        ("power_hp", models.FloatField(blank=True, null=True)),
                        ("speed_rpm", models.FloatField(blank=True, null=True)),
                        ("hertz", models.FloatField(blank=True, null=True)),
                        ("service_factor", models.FloatField(blank=True, null=True)),
                        ("insulation_class", models.CharField(blank=True, max_length=2)),
                        ("ambient_c", models.FloatField(blank=True, null=True)),
                        ("temperature_rise_c", models.FloatField(blank=True, null=True)),
                        ("frame", models.CharField(blank=True, max_length=12)),
                        ("thermally_protected", models.BooleanField(blank=True, null=True)),
                        (
                            "bearings",
                            models.CharField(
                                blank=True,
                                choices=[("sealed", "sealed"), ("greased", "greased")],
                                max_length=8,
                            ),
                        ),
                        (
                            "bearing_type",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("ball", "ball"),
                                    ("cylindrical", "cylindrical"),
                                    ("spherical", "spherical"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("bore_mm", models.FloatField(blank=True, null=True)),
                        ("shaft_rpm", models.FloatField(blank=True, null=True)),
                        ("capacitor_uf", models.FloatField(blank=True, null=True)),
                        ("capacitor_tolerance_percent", models.FloatField(blank=True, null=True)),
                        ("wheel", models.CharField(blank=True, max_length=80)),
                        ("belt", models.CharField(blank=True, max_length=40)),
                        ("sheaves", models.CharField(blank=True, max_length=80)),
                        (
                            "mounting",
                            models.CharField(
                                blank=True,
                                choices=[("rigid", "rigid"), ("flexible", "flexible")],
                                max_length=8,
                            ),
                        ),
                        (
                            "shaft",
                            models.CharField(
                                choices=[("vertical", "vertical"), ("horizontal", "horizontal")],
                                default="vertical",
                                max_length=10,
                            ),
                        ),
                        ("maker_regrease_h", models.FloatField(blank=True, null=True)),
                        ("weight_kg", models.FloatField(blank=True, null=True)),
                        ("unreadable", models.JSONField(blank=True, default=list)),
                        (
                            "fan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="machines",
                                to="fleet.fan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": [
                            "fan_id",
                            models.OrderBy(models.F("installed_on"), nulls_first=True),
                        ],
                        "constraints": [
                            models.UniqueConstraint(
                                condition=models.Q(("removed_on__isnull", True)),
                                fields=("fan",),
                                name="machine_one_in_place_per_fan",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    ("removed_on__isnull", True),
                                    ("installed_on__isnull", True),
                                    ("removed_on__gte", models.F("installed_on")),
                                    _connector="OR",
                                ),
                                name="machine_removed_after_installed",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    models.Q(
                                        ("power_hp__isnull", True),
                                        ("power_hp__gt", 0),
                                        _connector="OR",
                                    ),
                                    models.Q(
                                        ("speed_rpm__isnull", True),
                                        ("speed_rpm__gt", 0),
                                        _connector="OR",
                                    ),
                                    models.Q(
                                        ("service_factor__isnull", True),
                                        ("service_factor__gte", 1),
                                        _connector="OR",
                                    ),
                                ),
                                name="machine_plate_numbers_positive",
                            ),
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="OperatingPeriod",
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
                        ("valid_from", models.DateField()),
                        ("spans", models.JSONField(default=list)),
                        ("always", models.BooleanField(default=False)),
                        (
                            "system",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="operating",
                                to="fleet.exhaustsystem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["valid_from"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("system", "valid_from"), name="operating_one_per_day"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Agreement",
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
                        ("starts_on", models.DateField()),
                        ("ends_on", models.DateField(blank=True, null=True)),
                        (
                            "visits_per_year",
                            models.PositiveSmallIntegerField(
                                blank=True,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(1)],
                            ),
                        ),
                        (
                            "reliability",
                            models.CharField(
                                choices=[("low", "low"), ("medium", "medium"), ("high", "high")],
                                default="medium",
                                max_length=6,
                            ),
                        ),
                        ("stretching_allowed", models.BooleanField(default=False)),
                        (
                            "spending_limit",
                            models.DecimalField(
                                blank=True, decimal_places=2, max_digits=10, null=True
                            ),
                        ),
                        ("notes", models.TextField(blank=True)),
                        (
                            "owner",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="agreements",
                                to="fleet.owner",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["owner_id", "starts_on"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("owner", "starts_on"),
                                name="agreement_one_per_owner_and_start",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    ("ends_on__isnull", True),
                                    ("ends_on__gte", models.F("starts_on")),
                                    _connector="OR",
                                ),
                                name="agreement_ends_after_it_starts",
                            ),
                        ],
                    },
                ),
                migrations.AddConstraint(
                    model_name="person",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("owner__isnull", False), ("role", "owner")),
                            models.Q(
                                models.Q(("role", "owner"), _negated=True), ("owner__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="person_owner_role_has_owner",
                        violation_error_message="An owner's contact belongs to an owner; nobody else does.",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="site",
                    constraint=models.UniqueConstraint(
                        fields=("owner", "name"), name="site_one_name_per_owner"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="site",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("latitude__isnull", True), ("longitude__isnull", True)),
                            models.Q(
                                ("latitude__range", (-90, 90)), ("longitude__range", (-180, 180))
                            ),
                            _connector="OR",
                        ),
                        name="site_coordinates_both_or_neither_and_on_earth",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="ownerlink",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("purpose", "running"), _negated=True),
                            ("site__isnull", False),
                            _connector="OR",
                        ),
                        name="link_about_running_names_its_site",
                    ),
                ),
                migrations.AddIndex(
                    model_name="fan",
                    index=models.Index(fields=["onboarding_on"], name="fan_by_first_day"),
                ),
                migrations.AddConstraint(
                    model_name="fan",
                    constraint=models.UniqueConstraint(
                        fields=("site", "tag"), name="fan_one_tag_per_site"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="fan",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("hour_meter_digits__range", (3, 9))),
                        name="fan_meter_digits_3_to_9",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="exhaustsystem",
                    constraint=models.UniqueConstraint(
                        fields=("site", "name"), name="system_one_name_per_site"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="blocker",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("cleared_on", None),
                            ("cleared_on__gte", models.F("since_on")),
                            _connector="OR",
                        ),
                        name="blocker_cleared_after_it_began",
                        violation_error_message="It is cleared before it began; correct one of the days.",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="blocker",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "parts"), _negated=True),
                            ("fan__isnull", False),
                            _connector="OR",
                        ),
                        name="blocker_parts_are_for_a_fan",
                        violation_error_message="Parts are for a fan; say which.",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="workingweek",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("latitude__range", (-90, 90)), ("longitude__range", (-180, 180))
                        ),
                        name="working_week_base_on_earth",
                        violation_error_message="Latitude is -90 to 90 degrees, longitude -180 to 180.",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="workingweek",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("overtime_minutes__lte", 300), ("reserve_minutes__lte", 480)
                        ),
                        name="working_week_minutes_within_a_day",
                    ),
                ),
            ]
        ),
    ]
