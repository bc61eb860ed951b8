"""Figures of fans nearby beside a fan's own: the same system's, electrical ones by like motors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from config.questions import Row
from schedules.fan_page.beside import BY_ROOF, COMPARED
from schedules.fan_page.typed import is_read, read_with, reading_of
from schedules.phone.gathering import FanPack
from schedules.round_sheet.records import check_of

MOST = 4


@dataclass
class Beside:
    """In words: by field what neighbours showed last, and a line for each neighbour."""

    by_field: dict[str, str] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)


def siblings_of(fans: Sequence[FanPack]) -> list[Beside]:
    """For each fan of a pack those of the same pack beside it; nothing more is asked."""
    newest = {fan.file.fan.pk: dict(_newest(fan)) for fan in fans}
    return [_beside(fan, fans, newest) for fan in fans]


Newest = Mapping[int, Mapping[str, str]]


def _beside(fan: FanPack, fans: Sequence[FanPack], newest: Newest) -> Beside:
    found = Beside()
    near = [each for each in fans if each is not fan and _is_near(fan, each)]
    for name in COMPARED:
        told = [
            f"{each.file.fan.tag} {newest[each.file.fan.pk][name]}"
            for each in near
            if name in newest[each.file.fan.pk] and (name in BY_ROOF or _is_alike(fan, each))
        ]
        for field_name in read_with(name) if told else ():
            found.by_field[field_name] = "; ".join(told[:MOST])
    found.lines = [
        f"{each.file.fan.tag}: {'; '.join(newest[each.file.fan.pk].values())}"
        for each in near[:MOST]
        if newest[each.file.fan.pk]
    ]
    return found


def _is_near(fan: FanPack, other: FanPack) -> bool:
    """On the same roof, or the same model on the same volts."""
    return fan.file.fan.site_id == other.file.fan.site_id or _is_alike(fan, other)


def _is_alike(fan: FanPack, other: FanPack) -> bool:
    motor = _motor(fan)
    return bool(motor[0]) and motor == _motor(other)


def _motor(fan: FanPack) -> tuple[object, ...]:
    machines = [each for each in fan.file.fan.machines.all() if each.removed_on is None]
    machine = machines[0] if machines else None
    volts = fan.record.feed.connected_volts
    return (machine.model, machine.power_hp, machine.volts, volts) if machine else ("",)


def _newest(fan: FanPack) -> Iterator[tuple[str, str]]:
    """What was read last as found; a reading at fault shows nothing usual."""
    for name, subjects in COMPARED.items():
        row = fan.record.last_read(name)
        if row is not None and row["stage"] == "as_found" and not _is_at_fault(row, subjects):
            check = check_of(row)
            if is_read(check, name):
                yield name, _with_detector(row, name, reading_of(check, name))


def _is_at_fault(row: Row, subjects: Sequence[str]) -> bool:
    return any(row["judged"].get(subject) in ("act", "stop") for subject in subjects)


def _with_detector(row: Row, name: str, text: str) -> str:
    detector = row["vibration_detector"] if name in BY_ROOF else ""
    return f"{text} {detector}".strip() if detector else text
