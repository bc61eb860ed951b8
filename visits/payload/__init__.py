"""The record as people send it: the documented format of visits, events, decisions and closings.

One record is one JSON object; a file of them has one per line (JSON Lines, UTF-8).  ``type`` is
``visit`` (the default), ``event``, ``decision`` or ``closing``.  Old records miss much: only what
is marked *must* has to be there.  Every other key may be left out; an unknown key is refused, so
that a misspelt one cannot be lost.  ``import_visits --help``, the import page and the API's page
list all names of readings, seen items and their states, subjects, items and kinds.

Common ways of writing
    id              UUID made by whoever sends the record; the same record again changes nothing,
                    another record under the same id is refused.  Without one a file's line gets
                    an id made from its content.
    owner, site     names as in the register; ``site_id`` instead of both where it is known.
    fan, system     tag and name at that site, capitals do not matter.
    a moment        ``2026-03-02T09:10-06:00``, ``2026-03-02T09:10`` (the site's clock) or
                    ``2026-03-02`` (the time is not known).
    a day           ``2026-03-02``.
    a reading       ``200`` (the registry's unit), ``"200 V"``, ``"<0.05 in/s"``, ``"OL"`` (over
                    range), or ``{"value": 200, "unit": "V", "qualifier": "<"}`` with a qualifier
                    ``<``, ``>``, ``over`` or ``unstable``.
    a vibration reading  may name its detector: ``"0.35 in/s peak"``, ``"2.1 mm/s rms"``; that is
                    then the check's ``vibration_detector``.
    a grease depth  ``grease_hood``, ``grease_duct``, ``grease_housing``: one figure, or the comb's
                    interval ``{"low": 300, "high": 400, "unit": "um"}``.

visit
    id, owner, site (or site_id), began_at (must), notes
    ended_at        at most 31 days later.
    kind            walk_through, maintenance, service_call, replacement, code_inspection,
                    start_up (must).
    technician      a login or a name; a name nobody here has is kept as written.
    inspector_qualified  true where an old record says that the inspector was qualified (files only;
                    otherwise what is recorded of the technician counts).
    supersedes, correction_reason  id of the visit this one replaces whole, and why.
    checks          one per fan and stage: ``fan`` (must), ``stage`` as_found (default) or
                    as_left, ``readings`` by name of the registry with or without its unit
                    (``volts_ab_v`` or ``volts_ab``), ``seen`` {item: state}, ``context``
                    (vibration_detector rms or peak, vibration_meter overall, spectrum or phone,
                    vibration_hz, amps_place line or drive_output, pole_meter low_resistance or
                    multimeter), ``lasting`` [subject], ``recheck`` {subject: day},
                    ``switch_left`` on or off, ``notes``.
    findings        ``fan`` (must), ``subject`` (what checks look at) or ``item``, ``severity``
                    incipient, degraded or critical (must), ``verdict`` watch, act or stop
                    (follows the severity if left out), ``failure_mode``, ``mechanism``, ``cause``
                    (left out: not known; terms on no list are kept as written and counted with
                    nothing), ``loss_of_function``, ``lasting``, ``failed_on``,
                    ``recheck_on``, ``note``, ``id``.
    actions         ``fan``, ``kind`` (must): adjusted, cleaned, repaired, replaced, temporary,
                    balanced, speed_changed, remounted, regreased; ``item`` (must for the first
                    five), ``part``, ``note``.  A machine replaced: item ``machine`` with
                    ``machine``, the new nameplate by the register's fields ({} where nobody read
                    it).
    recommendations ``fan``, ``subject``, ``text`` (must), ``cost`` in the install's currency,
                    ``id``, and ``decision``, the owner's answer on the spot.
    decisions       as the decision record below, without type and site.
    not_reached     ``fan`` (must), ``item`` (left out: the whole fan), ``reason`` (must):
                    no_access, weather, unsafe, no_time, parts, not_stopped, other; ``note``.
                    Refused where the check as found answers that very item, or of a whole fan
                    all that a walk-through asks: one of the two cannot be so.
    made_safe       ``fan``, ``told`` (must), ``lock_holder``, ``cook_line_stopped``,
                    ``restarts_when``, ``promised_on``.
    plates          ``fan`` (must) and ``machine``: what was read on the plate of the machine in
                    place, as typed, fields and ``unreadable`` as with a machine replaced.  Fills
                    what the register lacks and overwrites nothing.
    inspections     ``system`` (must where the site has several), ``areas_not_cleaned``.
    At most 200 checks and 1,000 rows of each other part, 100 of them of one fan.

event
    id, owner, site (or site_id), and ``system`` or ``fan`` if only that one was touched
    kind            hood_cleaning, storm, power_event, kitchen_change, breaker_reset (must).
    started (must), ended  moments; ended follows started if left out, and lies at most 31 days
                    later; of a power event or breaker resets 366, of a kitchen change 731.
    crew, tipped [fan], places_cleaned and places_not_cleaned [hood, duct, housing], wheel_cleaned,
    resets (count), running_on (day the kitchen said that it runs), note, supersedes,
    correction_reason

decision
    id, and either ``recommendation`` (its id) or owner, site, ``fan`` and ``subject``
    answer          go_ahead, not_now, declined, question, by_link (must); the last is no answer,
                    and told on a visit only: a letter with the owner's link goes out at once, for
                    the advice it names.
    on              day (must), ``decided_by``, ``not_before`` (day), ``note``.

closing
    id, ``finding`` (its id), ``closed_on``, ``reason`` (must), ``closed_by`` a login.  A finding is
    closed once; a fault that is back is a new one.
"""

from visits.payload.complaints import Complaint, PayloadError
from visits.payload.entries import (
    AnswerEntry,
    ClosingEntry,
    Entry,
    EventEntry,
    VisitEntry,
)
from visits.payload.record import parse_json, read_record

__all__ = [
    "AnswerEntry",
    "ClosingEntry",
    "Complaint",
    "Entry",
    "EventEntry",
    "PayloadError",
    "VisitEntry",
    "parse_json",
    "read_record",
]
