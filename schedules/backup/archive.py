"""The file itself: members one after the other, a digest over all of them at its end."""

from __future__ import annotations

import gzip
import hashlib
import json
import tarfile
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from io import BytesIO
from typing import IO, Any

from django.utils.dateparse import parse_datetime

FORMAT = 1
ABOUT, END = "about.json", "end.json"
ROWS, PHOTOS, MAIL = "rows", "photos", "mail"
CHUNK_BYTES = 1_000_000
"""Rows are packed in pieces of this size: no more of a table is ever held."""

LONGEST_CHUNK = 64 * CHUNK_BYTES
DAMAGE = (
    tarfile.TarError, EOFError, zlib.error, gzip.BadGzipFile, ValueError, KeyError, TypeError,
    AttributeError,
)  # fmt: skip
Node = tuple[str, str]


class BackupError(Exception):
    """A backup that cannot be made, read or put back; says why and what to do."""


@dataclass(frozen=True)
class About:
    """What a backup is of: the moment it was made and the migrations its tables had seen."""

    made_at: datetime
    migrations: frozenset[Node]


@dataclass
class Tally:
    """What has gone in or come out so far."""

    rows: Counter[str] = field(default_factory=Counter)
    files: Counter[str] = field(default_factory=Counter)
    next_keys: dict[str, int] = field(default_factory=dict)


class _Counted:
    """A stream as far as laying members into it needs one: what went in is counted, not asked."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream, self._sent = stream, 0

    def write(self, data: bytes) -> int:
        self._stream.write(data)
        self._sent += len(data)
        return len(data)

    def tell(self) -> int:
        return self._sent


class Writer:
    """Lays members into a stream that need not be able to seek."""

    def __init__(self, stream: IO[bytes], about: About) -> None:
        self.tally, self._digest, self._at = Tally(), hashlib.sha256(), about.made_at
        self._tar = tarfile.TarFile(fileobj=_Counted(stream), mode="w")  # type: ignore[arg-type]
        told = {
            "format": FORMAT, "made_at": about.made_at.isoformat(),
            "migrations": sorted(about.migrations),
        }  # fmt: skip
        self._add(ABOUT, json.dumps(told, indent=1).encode())

    def add_rows(self, table: str, lines: Iterable[bytes]) -> None:
        """A table's rows, each a line of JSON."""
        for number, (rows, text) in enumerate(_chunked(lines)):
            self._add(f"{ROWS}/{table}/{number:05}.jsonl.gz", gzip.compress(text, 6, mtime=0))
            self.tally.rows[table] += rows
        self.tally.rows[table] += 0

    def add_file(self, kind: str, name: str, data: bytes) -> None:
        """A photo's file or an email, whole."""
        self._add(f"{kind}/{name}", data)
        self.tally.files[kind] += 1

    def finish(self) -> None:
        """Say what should be there; a file without this is cut off."""
        told = {
            "rows": self.tally.rows, "files": self.tally.files,
            "next_keys": self.tally.next_keys, "sha256": self._digest.hexdigest(),
        }  # fmt: skip
        self._add(END, json.dumps(told, indent=1).encode())
        self._tar.close()

    def _add(self, name: str, data: bytes) -> None:
        info = tarfile.TarInfo(name)
        info.size, info.mode, info.mtime = len(data), 0o600, int(self._at.timestamp())
        self._tar.addfile(info, BytesIO(data))
        _note(self._digest, name, data)


class Reader:
    """Gives what a Writer laid down, and is content only once it has seen the end."""

    def __init__(self, stream: IO[bytes]) -> None:
        self.tally, self._digest = Tally(), hashlib.sha256()
        self._members = self._read(stream)
        name, data = next(self._members, ("", b""))
        if name != ABOUT:
            raise BackupError("This is no backup of ours. Give a file that `backup` has made.")
        self.about = _about(data)

    def parts(self) -> Iterator[tuple[str, str, Any]]:
        """Kind, table or file name, and rows as mappings or the file's bytes."""
        for name, data in self._members:
            kind, _, rest = name.partition("/")
            if name == END:
                self._compare(data)
                return
            if kind == ROWS:
                table = rest.partition("/")[0]
                rows = _rows(name, data)
                self.tally.rows[table] += len(rows)
                yield ROWS, table, rows
            else:
                self.tally.files[kind] += 1
                yield kind, rest, data
        raise _damaged("its end is missing")

    def _read(self, stream: IO[bytes]) -> Iterator[tuple[str, bytes]]:
        try:
            with tarfile.open(fileobj=stream, mode="r|") as tar:
                for member in tar:
                    if member.isfile():
                        data = tar.extractfile(member).read()  # type: ignore[union-attr]
                        if len(data) != member.size:
                            raise _damaged(f"{member.name} is cut off")
                        if member.name != END:
                            _note(self._digest, member.name, data)
                        yield member.name, data
        except DAMAGE as error:
            raise _damaged(str(error)) from error

    def _compare(self, data: bytes) -> None:
        try:
            told = json.loads(data)
            self.tally.next_keys = told["next_keys"]
            if told["sha256"] != self._digest.hexdigest():
                raise _damaged("its checksum is another")
            for kind in ("rows", "files"):
                wanted, found = Counter(told[kind]), getattr(self.tally, kind)
                if +wanted != +found:
                    raise _damaged(f"it holds other {kind} than it says")
        except DAMAGE as error:
            raise _damaged(str(error)) from error


def _about(data: bytes) -> About:
    try:
        told = json.loads(data)
        made_at = parse_datetime(told["made_at"])
        nodes = frozenset((str(app), str(name)) for app, name in told["migrations"])
    except DAMAGE as error:
        raise _damaged(str(error)) from error
    if told.get("format") != FORMAT or made_at is None:
        raise BackupError(
            f"This backup has format {told.get('format')!r}, while this version reads {FORMAT}. "
            "Install the version that made it, or a newer one."
        )
    return About(made_at, nodes)


def _chunked(lines: Iterable[bytes]) -> Iterator[tuple[int, bytes]]:
    """Pieces of about a megabyte, with how many lines each has."""
    held: list[bytes] = []
    size = 0
    for line in lines:
        held.append(line)
        size += len(line)
        if size >= CHUNK_BYTES:
            yield len(held), b"".join(held)
            held, size = [], 0
    if held:
        yield len(held), b"".join(held)


def _rows(name: str, data: bytes) -> list[dict[str, Any]]:
    try:
        unpacker = zlib.decompressobj(wbits=zlib.MAX_WBITS | 16)
        text = unpacker.decompress(data, LONGEST_CHUNK)
        if not unpacker.eof:
            raise _damaged(f"{name} is cut off or far too long")
        return [json.loads(line) for line in text.splitlines()]
    except DAMAGE as error:
        raise _damaged(f"{name}: {error}") from error


def _note(digest: Any, name: str, data: bytes) -> None:
    digest.update(f"{name}\0{len(data)}\0".encode())
    digest.update(data)


def _damaged(why: str) -> BackupError:
    return BackupError(f"This backup is damaged or cut off ({why}). Use another one.")
