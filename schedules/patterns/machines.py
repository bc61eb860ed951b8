"""Whether it is the machine that fails, or the position whatever machine stands there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from schedules.engine.codes import OF_MACHINE
from schedules.models import FailureTally, Pattern
from schedules.patterns.evidence import Failure


@dataclass(frozen=True)
class MachineCounts:
    """Failures of a pattern by the machine they fell on; ``stood`` are all that stood here.

    ``failures`` by machine id; ``unknown`` are those of no machine on record.  ``elsewhere`` counts
    what other machines of ``model``, the one in place, lost of that item in ``elsewhere_years``;
    None where nothing was counted.  ``item_stays`` when a machine is replaced: it is then the
    position that lost it, whatever machine stood there.
    """

    stood: int
    failures: Mapping[int, int]
    unknown: int
    item_stays: bool
    model: str = ""
    elsewhere: int | None = None
    elsewhere_years: float = 0.0

    @property
    def told(self) -> str:
        """``position`` or ``machine`` where that many machines tell them apart, else why not."""
        if not self.failures or self.unknown:
            return "unknown"
        if self.stood < 2:
            return "one_machine"
        if len(self.failures) == 1:
            return "machine"
        return "position" if len(self.failures) == self.stood else "some"


def machine_counts(pattern: Pattern, failures: Sequence[Failure]) -> MachineCounts:
    """Of a pattern's evidence; two statements."""
    machines = list(pattern.fan.machines.order_by("installed_on", "pk"))
    by_machine = Counter(each.machine.pk for each in failures if each.machine)
    placed = next((each for each in machines if each.removed_on is None), None)
    model = " ".join(placed.model.split()) if placed else ""
    row = FailureTally.objects.filter(
        by=FailureTally.By.MODEL, model__iexact=model, item=pattern.item
    ).first()  # fmt: skip
    here = sum(
        by_machine[each.pk]
        for each in machines
        if " ".join(each.model.split()).casefold() == model.casefold()
    )
    counted = row is not None and row.figures["years"] > pattern.figures["years"]
    return MachineCounts(
        stood=max(len(machines), len(by_machine)),
        failures=dict(by_machine),
        unknown=sum(each.machine is None for each in failures),
        item_stays=pattern.item not in OF_MACHINE,
        model=model,
        elsewhere=max(row.failures - here, 0) if row is not None and counted else None,
        elsewhere_years=row.figures["years"] - pattern.figures["years"] if row and counted else 0.0,
    )
