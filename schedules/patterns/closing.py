"""Close a pattern, with the cause somebody recorded or a reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import PermissionDenied

from config.characters import hidden_in
from config.collisions import in_one_transaction
from fleet.failure_terms import is_known
from fleet.models import Person
from fleet.services.errors import RegisterError, refuse
from schedules.models import Pattern, PatternClosing

MOST_WORDS = 250


class NoSuchPatternError(LookupError):
    """No pattern of that number."""


class NotAsSeenError(RegisterError):
    """It was closed meanwhile, or more failures came to it than its closer saw."""


@dataclass(frozen=True)
class Words:
    """What somebody closes a pattern with; ``failures`` is how many they saw."""

    failures: int
    cause: str = ""
    reason: str = ""


@in_one_transaction
def close_pattern(*, pattern_id: int, words: Words, by: Person, now: datetime) -> PatternClosing:
    """Note the cause or the reason; the pattern then stays closed until that item fails anew.

    Raises NoSuchPatternError, PermissionDenied for who does not plan, RegisterError with every
    fault, NotAsSeenError where the pattern is no longer as it was shown.
    """
    if not by.plans:
        raise PermissionDenied("Only managers and dispatchers close patterns.")
    pattern = Pattern.objects.select_for_update().filter(pk=pattern_id).first()
    if pattern is None:
        raise NoSuchPatternError(f"no pattern {pattern_id}")
    if faults := _faults(words):
        raise refuse(faults)
    if not pattern.is_open:
        raise NotAsSeenError("it is closed already; read it again")
    if pattern.failures != words.failures:
        raise NotAsSeenError(
            f"{pattern.failures} failures are on record, you saw {words.failures}; read it again"
        )
    pattern.state, pattern.changed_at = Pattern.State.CLOSED, now
    pattern.save(update_fields=["state", "changed_at"])
    return PatternClosing.objects.create(
        pattern=pattern, closed_at=now, closed_by=by, cause=words.cause.strip(),
        reason=words.reason.strip(), failures=pattern.failures,
    )  # fmt: skip


def _faults(words: Words) -> dict[str, str]:
    faults = {}
    for name in ("cause", "reason"):
        text = getattr(words, name).strip()
        if len(text) > MOST_WORDS:
            faults[name] = f"it has {len(text)} characters; at most {MOST_WORDS} are kept"
        elif hidden_in(text):
            faults[name] = "it holds characters that nobody can see; write it anew"
    if words.cause.strip() and not is_known(words.cause):
        faults["cause"] = (
            f"{words.cause.strip()[:60]!r} names no cause; leave it empty and write why it is "
            "closed without one"
        )
    if not (words.cause.strip() or words.reason.strip()):
        faults["cause"] = (
            "neither a cause nor a reason; write the cause that was found, or why it is closed"
        )
    return faults
