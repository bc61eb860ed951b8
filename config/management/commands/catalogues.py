"""Brings the Spanish catalogues up to the code, and compiles them."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from config.catalogues import po
from config.catalogues.places import PLACES, catalogue_path, said_in


class Command(BaseCommand):
    """``manage.py catalogues``: what is still to be translated is listed, and is an error."""

    help = (
        "Gathers what owners and phones read into */locale/es, keeps what is translated, and "
        "compiles it."
    )
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Write .po and .mo of every app that says something."""
        missing = []
        for place in PLACES:
            path = catalogue_path(*place)
            source, told = path.with_suffix(".po"), path.with_suffix(".mo")
            known = po.read(source.read_text("utf-8")) if source.exists() else []
            entries = po.merged(known, said_in(*place))
            if not entries:
                continue
            path.parent.mkdir(parents=True, exist_ok=True)
            source.write_text(po.written(entries), "utf-8")
            told.write_bytes(po.compiled(entries))
            missing += [entry for entry in entries if not entry.is_translated]
            self.stdout.write(f"{' '.join(place)}: {len(entries)} messages")
        if missing:
            lines = (f"  {entry.places[0]}: {entry.message.text}" for entry in missing)
            raise CommandError("Not translated yet:\n" + "\n".join(lines))
