"""What is said of a plate, a feed or days that contradict each other, in a file or on a roof."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = tuple[str | Promise, str | Promise]

CONTRADICTIONS: Mapping[str, Words] = {
    "day_before": (
        _("this lies before %(other)s, %(day)s"),
        _("correct one of the two dates"),
    ),
    "day_in_future": (
        _("this day has not come yet (at the site it is %(today)s)"),
        _("correct it, or leave it out"),
    ),
    "day_in_future_anywhere": (
        _("this day has not come yet (nowhere on earth is it later than %(today)s)"),
        _("correct it, or leave it out"),
    ),
    "power_too_much": (
        _(
            "%(amps)s A at %(volts)s V take in %(taken_hp)s hp; more than half as much again "
            "(%(bound_hp)s hp) is no slip of rounding"
        ),
        _("check power and its unit, volts and amperes on the plate; ? marks what is unreadable"),
    ),
    "power_too_little": (
        _(
            "%(amps)s A at %(volts)s V take in %(taken_hp)s hp; no motor gives out less than "
            "%(bound_hp)s hp of it"
        ),
        _("check power and its unit, volts and amperes on the plate; ? marks what is unreadable"),
    ),
    "phases_of_motor": (
        _("this and a motor of type %(motor)s do not go together"),
        _("correct Phases or Motor type"),
    ),
    "belt_on_direct": (
        _("a direct-drive fan has no belt"),
        _("correct Drive, or leave the belt out"),
    ),
    "not_on_plate": (
        _("the plate (%(volts)s) has no such rating"),
        _("write one of the plate's ratings, or correct the plate"),
    ),
    "overload_both_ways": (
        _("overload setting and overload present contradict each other"),
        _("correct one of them"),
    ),
}
