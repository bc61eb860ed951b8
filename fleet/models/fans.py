"""Fans as positions with a tag, the machines installed there over time, and what feeds them."""

from __future__ import annotations

from django.db import models

from fleet.models.history import keep_history
from fleet.models.plain import PlainRow
from fleet.models.seen import OfOwnerQuerySet
from fleet.models.sites import Site
from fleet.models.systems import ExhaustSystem
from fleet.quantities import MOTOR_TYPES, SPEED_CONTROLS


class FanQuerySet(OfOwnerQuerySet["Fan"]):
    """Fans by who may see them."""

    to_owner = "site__owner"


class Fan(PlainRow):
    """A position on a roof; it keeps its history through machines.

    ``site`` repeats the system's so that a tag is unique on its roof by constraint.
    """

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="fans")
    system = models.ForeignKey(ExhaustSystem, on_delete=models.PROTECT, related_name="fans")
    tag = models.CharField(max_length=40)
    place = models.CharField(max_length=120, blank=True)
    entered_on = models.DateField()
    onboarding_on = models.DateField(null=True, blank=True)
    hour_meter_digits = models.PositiveSmallIntegerField(default=6)
    notes = models.TextField(blank=True)
    # What whoever supplies another machine asks for and no plate says.
    curb_size = models.CharField(max_length=60, blank=True)
    rotation = models.CharField(
        max_length=16,
        blank=True,
        choices=[(c, c) for c in ("clockwise", "counterclockwise")],
        help_text="which way the wheel turns, seen from the motor's side",
    )

    # Where it lies on the roof, metres from the hatch; drawn where both are known.
    east_m = models.FloatField(
        "east of the hatch [m]", null=True, blank=True, help_text="west is negative"
    )
    north_m = models.FloatField(
        "north of the hatch [m]", null=True, blank=True, help_text="south is negative"
    )

    objects = FanQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["site_id", "tag"]
        # read every half hour: of whom nobody is mailed yet
        indexes = [models.Index(fields=["onboarding_on"], name="fan_by_first_day")]
        constraints = [
            models.UniqueConstraint(fields=["site", "tag"], name="fan_one_tag_per_site"),
            models.CheckConstraint(
                name="fan_meter_digits_3_to_9",
                condition=models.Q(hour_meter_digits__range=(3, 9)),
            ),
            models.CheckConstraint(
                name="fan_within_500_m_of_the_hatch",
                condition=(models.Q(east_m=None) | models.Q(east_m__range=(-500, 500)))
                & (models.Q(north_m=None) | models.Q(north_m__range=(-500, 500))),
                violation_error_message="A fan lies within 500 m of its hatch; give metres.",
            ),
        ]

    def __str__(self) -> str:
        return self.tag


class MachineQuerySet(OfOwnerQuerySet["Machine"]):
    """Machines by who may see them."""

    to_owner = "fan__site__owner"


class Machine(PlainRow):
    """What is installed at a fan's position from one day to another, with its nameplate as read.

    ``volts`` and ``full_load_amps`` stay as the plate writes them (``208-230/460``,
    ``3.3-3.2/1.6``); ``unreadable`` names plate fields nobody could read.
    """

    class Drive(models.TextChoices):
        DIRECT = "direct", "direct"
        BELT = "belt", "belt"

    fan = models.ForeignKey(Fan, on_delete=models.PROTECT, related_name="machines")
    installed_on = models.DateField(null=True, blank=True)
    removed_on = models.DateField(null=True, blank=True)
    first_here = models.BooleanField(default=True)
    supplied_by = models.CharField(max_length=40, blank=True)
    warranty_until = models.DateField(null=True, blank=True)
    model = models.CharField(max_length=80, blank=True)
    serial = models.CharField(max_length=80, blank=True)
    drive = models.CharField(max_length=6, choices=Drive.choices, default=Drive.DIRECT)
    motor_type = models.CharField(
        max_length=12, choices=[(code, code) for code in MOTOR_TYPES], blank=True
    )
    phases = models.PositiveSmallIntegerField(
        null=True, blank=True, choices=[(count, str(count)) for count in (1, 3)]
    )
    volts = models.CharField(max_length=30, blank=True)
    full_load_amps = models.CharField(max_length=30, blank=True)
    power_hp = models.FloatField(null=True, blank=True)
    speed_rpm = models.FloatField(null=True, blank=True)
    hertz = models.FloatField(null=True, blank=True)
    service_factor = models.FloatField(null=True, blank=True)
    insulation_class = models.CharField(max_length=2, blank=True)
    ambient_c = models.FloatField(null=True, blank=True)
    temperature_rise_c = models.FloatField(null=True, blank=True)
    frame = models.CharField(max_length=12, blank=True)
    thermally_protected = models.BooleanField(null=True, blank=True)
    bearings = models.CharField(
        max_length=8, blank=True, choices=[(c, c) for c in ("sealed", "greased")]
    )
    bearing_type = models.CharField(
        max_length=12, blank=True, choices=[(c, c) for c in ("ball", "cylindrical", "spherical")]
    )
    bore_mm = models.FloatField(null=True, blank=True)
    shaft_rpm = models.FloatField(null=True, blank=True)
    capacitor_uf = models.FloatField(null=True, blank=True)
    capacitor_tolerance_percent = models.FloatField(null=True, blank=True)
    wheel = models.CharField(max_length=80, blank=True)
    belt = models.CharField(max_length=40, blank=True)
    sheaves = models.CharField(max_length=80, blank=True)
    mounting = models.CharField(
        max_length=8, blank=True, choices=[(c, c) for c in ("rigid", "flexible")]
    )
    shaft = models.CharField(
        max_length=10, default="vertical", choices=[(c, c) for c in ("vertical", "horizontal")]
    )
    maker_regrease_h = models.FloatField(null=True, blank=True)
    weight_kg = models.FloatField(null=True, blank=True)
    unreadable = models.JSONField(default=list, blank=True)

    objects = MachineQuerySet.as_manager()
    history = keep_history()

    class Meta:
        ordering = ["fan_id", models.F("installed_on").asc(nulls_first=True)]
        constraints = [
            models.UniqueConstraint(
                fields=["fan"],
                condition=models.Q(removed_on__isnull=True),
                name="machine_one_in_place_per_fan",
            ),
            models.CheckConstraint(
                name="machine_removed_after_installed",
                condition=models.Q(removed_on__isnull=True)
                | models.Q(installed_on__isnull=True)
                | models.Q(removed_on__gte=models.F("installed_on")),
            ),
            models.CheckConstraint(
                name="machine_plate_numbers_positive",
                condition=(models.Q(power_hp__isnull=True) | models.Q(power_hp__gt=0))
                & (models.Q(speed_rpm__isnull=True) | models.Q(speed_rpm__gt=0))
                & (models.Q(service_factor__isnull=True) | models.Q(service_factor__gte=1)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.fan} machine from {self.installed_on or 'the start'}"

    @property
    def is_belt_driven(self) -> bool:
        return self.drive == self.Drive.BELT


class Feed(PlainRow):
    """What feeds and controls a fan from a day on; without ``valid_from`` since always.

    ``connected_volts`` is the plate's pair in use, ``connected_confirmed`` that somebody saw it at
    the connections rather than guessed it from a meter.
    """

    fan = models.ForeignKey(Fan, on_delete=models.CASCADE, related_name="feeds")
    valid_from = models.DateField(null=True, blank=True)
    panel = models.CharField(max_length=40, blank=True)
    circuit = models.CharField(max_length=20, blank=True)
    poles = models.PositiveSmallIntegerField(null=True, blank=True)
    breaker_a = models.FloatField(null=True, blank=True)
    service_volts = models.FloatField(null=True, blank=True)
    connected_volts = models.CharField(max_length=20, blank=True)
    connected_confirmed = models.BooleanField(default=False)
    starter = models.CharField(max_length=80, blank=True)
    overload_setting_a = models.FloatField(null=True, blank=True)
    overload_present = models.BooleanField(null=True, blank=True)
    control = models.CharField(
        max_length=14, choices=[(code, code) for code in SPEED_CONTROLS], default="none"
    )
    drive_input_volts = models.FloatField(null=True, blank=True)
    switch = models.CharField(max_length=80, blank=True)

    history = keep_history()

    class Meta:
        ordering = ["fan_id", models.F("valid_from").asc(nulls_first=True)]
        constraints = [
            models.UniqueConstraint(fields=["fan", "valid_from"], name="feed_one_per_fan_and_day"),
            models.UniqueConstraint(
                fields=["fan"],
                condition=models.Q(valid_from__isnull=True),
                name="feed_one_since_always_per_fan",
            ),
            models.CheckConstraint(
                name="feed_poles_1_to_3",
                condition=models.Q(poles__isnull=True) | models.Q(poles__range=(1, 3)),
            ),
        ]

    def __str__(self) -> str:
        return f"feed of {self.fan}"
