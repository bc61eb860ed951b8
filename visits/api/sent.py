"""The shapes of what the API takes: the documented format of ``visits.payload``, for the schema.

What is sent is read by ``visits.payload`` itself, which knows more than a schema can say; a test
holds both to the same keys.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.quantities import GREASE_PLACES
from visits.api.looks import ContextSent, ReadingsSent, SeenSent, choice, text
from visits.payload.names import ITEMS, SUBJECTS
from visits.payload.others import EVENT_KINDS, LONGEST_DAYS
from visits.payload.visit import (
    ABOUT,
    ANSWERS,
    ITEM_OF_WORK,
    KINDS,
    LONGEST_VISIT_DAYS,
    REASONS,
    SEVERITY_VERDICT,
    STAGES,
    SWITCH,
    WORK,
)

TAG = "its tag at this site; capitals do not matter"
OWN_ID = (
    "your own, so that it can be named later; left out, one is made; a correction repeats what it "
    "keeps under the same id, by which it can be named still, though it is told under a new one"
)
PLACE_HELP = "as in the register; or give site_id"
MOMENT_HELP = "2026-03-02T09:10-06:00, 2026-03-02T09:10 (the site's clock) or 2026-03-02"


@extend_schema_field({"type": "string"})
class MomentText(serializers.Field[Any, Any, Any, Any]):
    """A day, a clock reading, or an instant."""


STAGE_HELP = (
    "What was found before anything was touched: as_found, also if left out; how the fan was left "
    "afterwards: as_left. Dates, findings and stops follow what was found; readings as left set no "
    "date, they only close what they show to be mended, or tell the grease left. A fan has one "
    "check of each stage in a visit: found dead, it says `running: dead`, and beside it what was "
    "read once it ran. Of currents each leg is judged there; that no phase is lost and legs are "
    "alike is told only of a fan that runs: for that give them as_left too."
)


class CheckSent(serializers.Serializer[Any]):
    """One fan at one stage."""

    fan = text(40, required=True, help_text=TAG)
    stage = choice(STAGES, help_text=STAGE_HELP)
    readings = ReadingsSent(required=False)
    seen = SeenSent(required=False)
    context = ContextSent(required=False)
    lasting = serializers.ListField(
        child=choice(sorted(SUBJECTS)),
        required=False,
        help_text="subjects that will stay as found, as 205 V from the utility: they set no "
        "returning date until a worse verdict comes; a stop cannot be lasting",
    )
    recheck = serializers.DictField(
        child=serializers.DateField(),
        required=False,
        help_text="by subject, your own day for the next look; it goes before the usual one",
    )
    switch_left = choice(SWITCH, help_text="how the disconnecting switch was left")
    notes = text(4000)


class FindingSent(serializers.Serializer[Any]):
    """A fault somebody wrote down; either ``subject`` or ``item`` must be there.

    What a check shows as watch, act or stop is found without this.  Written down are a loss of
    function, its cause, and what no reading tells.
    """

    id = serializers.UUIDField(required=False, help_text=OWN_ID)
    fan = text(40, required=True, help_text=TAG)
    subject = choice(sorted(SUBJECTS), help_text="what was looked at; it is one finding with what "
                     "checks show of this subject")  # fmt: skip
    item = choice(sorted(ITEMS), help_text="the part that is at fault; left out: the subject's")
    severity = choice(
        SEVERITY_VERDICT, required=True,
        help_text="as ISO 14224 has it; gives the verdict: "
        + ", ".join(f"{severity} {verdict}" for severity, verdict in SEVERITY_VERDICT.items()),
    )  # fmt: skip
    verdict = choice(SEVERITY_VERDICT.values(), help_text="where it is not the severity's")
    failure_mode = text(8, help_text="a code as ISO 14224 has them: FTS does not start on demand, "
                        "VIB vibration; GET /api/v1/failure-terms lists those of this and the next "
                        "two, another text is kept with a caution")  # fmt: skip
    mechanism = text(40, help_text="what happened to the part, in a word: loosening, impact, wear")
    cause = text(40, help_text="why, if it was determined; left out: not known")
    loss_of_function = serializers.BooleanField(
        required=False, help_text="the fan could not do its work: what failures are counted by"
    )
    lasting = serializers.BooleanField(
        required=False, help_text="it will stay so and sets no returning date; never a stop"
    )
    failed_on = serializers.DateField(required=False, help_text="left out: the visit's day")
    recheck_on = serializers.DateField(required=False, help_text="your own day for the next look")
    note = text(4000)


class ActionSent(serializers.Serializer[Any]):
    """Work done, on an item or a subject of checks."""

    fan = text(40, required=True, help_text=TAG)
    kind = choice(
        WORK, required=True,
        help_text="adjusted, cleaned, repaired and replaced settle what is open, temporary puts it "
        "off for two weeks; balanced, speed_changed and remounted begin the vibration series anew, "
        "regreased the hours",
    )  # fmt: skip
    item = choice(
        ABOUT,
        help_text="what was worked on; must be there but for "
        + ", ".join(f"{kind} ({item})" for kind, item in ITEM_OF_WORK.items()),
    )
    part = text(120, help_text="what was put in")
    note = text(4000)
    machine = serializers.DictField(
        required=False,
        help_text="with replaced and machine, and only there: the new nameplate, its fields as "
        "`POST /fans/{id}/machines` has them but installed_on; {} where nobody read it",
    )


class AnswerSent(serializers.Serializer[Any]):
    """An owner's answer given on the spot."""

    id = serializers.UUIDField(required=False, help_text=OWN_ID)
    answer = choice(
        ANSWERS,
        required=True,
        help_text="by_link: none yet, a link to answer by goes to the owner at once; on visits",
    )
    on = serializers.DateField(help_text="the day on which it was given")
    not_before = serializers.DateField(
        required=False, help_text="with not_now: the day on which to ask again"
    )
    decided_by = text(120, help_text="who said so")
    note = text(4000)


class OtherAnswerSent(AnswerSent):
    """An owner's answer to advice on record, or on a subject of a fan."""

    recommendation = serializers.UUIDField(
        required=False, help_text="the advice's id; or give fan and subject"
    )
    fan = text(40, help_text=TAG)
    subject = choice(ABOUT)


class AdviceSent(serializers.Serializer[Any]):
    """Advice to the owner, who may answer later: `POST /decisions`."""

    id = serializers.UUIDField(required=False, help_text=OWN_ID)
    fan = text(40, required=True, help_text=TAG)
    subject = choice(ABOUT, required=True)
    text = text(4000, required=True, help_text="the owner reads it as written")
    cost = serializers.DecimalField(
        10, 2, required=False, min_value=0, help_text=f"about what it costs [{settings.CURRENCY}]"
    )
    decision = AnswerSent(required=False, help_text="left out: no answer yet")


class NotReachedSent(serializers.Serializer[Any]):
    """A fan, or one item of it, that the visit did not get at."""

    fan = serializers.CharField(max_length=40)
    item = choice(ABOUT, help_text="left out: the whole fan")
    reason = choice(REASONS, required=True)
    note = serializers.CharField(max_length=250, required=False)


class PlateSent(serializers.Serializer[Any]):
    """What was read on the nameplate of the machine in place."""

    fan = text(40, required=True, help_text=TAG)
    machine = serializers.DictField(
        help_text="fields of `POST /fans/{id}/machines` as printed or typed, `?` for what "
        "cannot be read, and `unreadable`; fills what the register lacks, overwrites nothing"
    )


class MadeSafeSent(serializers.Serializer[Any]):
    """A fan taken out of service."""

    fan = text(40, required=True, help_text=TAG)
    told = text(120, required=True, help_text="who in charge of the kitchen was told")
    lock_holder = text(120, help_text="who holds the key of the lock")
    cook_line_stopped = serializers.BooleanField(
        required=False, help_text="whether cooking under its hood stopped"
    )
    restarts_when = text(help_text="what has to be done before it runs again")
    promised_on = serializers.DateField(
        required=False, help_text="the day promised for the restart; left out: asked in a week"
    )


class InspectionSent(serializers.Serializer[Any]):
    """A code inspection of a system."""

    system = text(80, help_text="must be there where the site has several")
    areas_not_cleaned = text(4000, help_text="what was found not clean or out of reach")


class RecordSent(serializers.Serializer[Any]):
    """What every record has; ``id`` is made by whoever sends it and kept until it is answered."""

    id = serializers.UUIDField()


class PlacedSent(RecordSent):
    """A record of one site, by ``site_id`` or by owner and site."""

    site_id = serializers.IntegerField(required=False, min_value=1)
    owner = text(help_text=PLACE_HELP)
    site = text(help_text=PLACE_HELP)


class VisitSent(PlacedSent):
    """A visit, or a correction that replaces an earlier one whole.

    At most 200 checks and 1,000 rows of each other part, 100 of them of one fan.
    """

    type = choice(["visit"])
    kind = choice(KINDS, required=True)
    began_at = MomentText(help_text=MOMENT_HELP)
    ended_at = MomentText(
        required=False,
        help_text=f"{MOMENT_HELP}; at most {LONGEST_VISIT_DAYS} days after it began",
    )
    technician = text(
        120,
        help_text="a login or a name; left out: whoever sends it, in a correction whoever the "
        "corrected visit names; for an inspection to count, they send it, or somebody who plans",
    )
    notes = text(4000)
    supersedes = serializers.UUIDField(
        required=False, help_text="the visit that this one replaces whole: send all of it again"
    )
    correction_reason = text(help_text="must be there with supersedes")
    checks = CheckSent(many=True, required=False)
    findings = FindingSent(many=True, required=False)
    actions = ActionSent(many=True, required=False)
    recommendations = AdviceSent(many=True, required=False)
    decisions = OtherAnswerSent(many=True, required=False)
    not_reached = NotReachedSent(many=True, required=False)
    made_safe = MadeSafeSent(many=True, required=False)
    inspections = InspectionSent(many=True, required=False)
    plates = PlateSent(many=True, required=False)


class EventSent(PlacedSent):
    """Something that happened between visits, to a fan, to a system, or to the whole site."""

    type = choice(["event"])
    kind = choice(EVENT_KINDS, required=True)
    system = text(80, help_text="its name, if only this one was touched")
    fan = text(40, help_text="its tag, if only this one was touched")
    started = MomentText(help_text=MOMENT_HELP)
    ended = MomentText(
        required=False,
        help_text=f"{MOMENT_HELP}; left out: as started; at most so many days later: "
        + ", ".join(f"{kind} {days}" for kind, days in LONGEST_DAYS.items()),
    )
    crew = text(120)
    tipped = serializers.ListField(
        child=text(), required=False, help_text="tags of the fans that were tipped to clean"
    )
    places_cleaned = serializers.ListField(child=choice(GREASE_PLACES), required=False)
    places_not_cleaned = serializers.ListField(child=choice(GREASE_PLACES), required=False)
    wheel_cleaned = serializers.BooleanField(required=False)
    resets = serializers.IntegerField(
        required=False, min_value=0, max_value=1000, help_text="how often the breaker was reset"
    )
    running_on = serializers.DateField(
        required=False, help_text="the day on which the kitchen said that the fan runs"
    )
    note = text(4000)
    supersedes = serializers.UUIDField(required=False)
    correction_reason = text(help_text="must be there with supersedes")


class DecisionSent(PlacedSent, OtherAnswerSent):
    """An owner's answer by itself: to a ``recommendation``, or on a fan's subject at a site.

    With a recommendation no site is named.  Advice that a correction has taken back takes none.
    """

    type = choice(["decision"])


class ClosingSent(RecordSent):
    """A finding closed with its reason."""

    type = choice(["closing"])
    finding = serializers.UUIDField(help_text="its id, as sent or as GET /visits/{id} tells it")
    closed_on = serializers.DateField()
    reason = text(required=True)
    closed_by = text(150, help_text="a login; left out: whoever sends it")
