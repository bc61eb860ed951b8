"""Put the record out in the format in which it comes in."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import IO, Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import QuerySet

from config.collisions import one_snapshot
from config.whole_files import whole_file
from fleet.models import Site
from visits.exports import written_records

PROGRESS = 5_000


class Command(BaseCommand):
    """Visits, events, answers and closings as JSON lines that import_visits reads."""

    help = (
        "Write out what was seen and done, one record to a line (JSON Lines), as import_visits "
        "reads it: nobody has to stay for the sake of their records. Visits and events are "
        "written as last corrected. Not in the file: pictures, who typed a record in and when, "
        "what owners' pages showed, and the register, which has to be there before the file is "
        "read (import_fleet). A copy of everything is made by backup.\n\n"
        "  manage.py export_history history.jsonl\n"
        "  manage.py export_history --owner 'Alder Kitchens' --site 'Mill Street' -\n\n"
        "An install that already holds these records refuses them: they are other records under "
        "the same ids there. Read it with --here where the visits count as made under this "
        "schedule."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", default="-", help="where to; - (default): printed")
        parser.add_argument("--owner", default="", help="of this owner alone")
        parser.add_argument("--site", default="", help="of this site alone")
        parser.add_argument(
            "--json", action="store_true", help="tell by JSON how many records of each type"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        sites = _sites(options["owner"], options["site"])
        written: Counter[str] = Counter()
        printed = options["file"] == "-"
        whole = nullcontext(sys.stdout.buffer) if printed else whole_file(Path(options["file"]))
        with one_snapshot(), whole as file:
            self._write(file, sites, written)
        said = self.stderr if printed else self.stdout
        said.write(_told(written, as_json=options["json"]))

    def _write(self, file: IO[bytes], sites: QuerySet[Site], written: Counter[str]) -> None:
        for record in written_records(sites):
            file.write(json.dumps(record, ensure_ascii=False).encode() + b"\n")
            written[record["type"]] += 1
            if written.total() % PROGRESS == 0:
                self.stderr.write(f"{written.total():,} records …")


def _sites(owner: str, site: str) -> QuerySet[Site]:
    sites = Site.objects.order_by("pk")
    if owner:
        sites = sites.filter(owner__name__iexact=owner)
    if site:
        sites = sites.filter(name__iexact=site)
    if (owner or site) and not sites:
        asked = [f"{name} {value!r}" for name, value in (("site", site), ("owner", owner)) if value]
        raise CommandError(f"the register has no {' of '.join(asked)}; write names as there")
    return sites


def _told(written: Counter[str], *, as_json: bool) -> str:
    if as_json:
        return json.dumps(dict(written))
    return f"Wrote {', '.join(_counts(written)) or 'no record: there is none'}."


def _counts(written: Counter[str]) -> Iterator[str]:
    for type_, count in sorted(written.items()):
        yield f"{count:,} {type_}{'' if count == 1 else 's'}"
