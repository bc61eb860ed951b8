"""Catalogues as gettext keeps them: .po for people, .mo for programs.

Source: GNU gettext manual, chapters 3 (The Format of PO Files) and 10.3 (of MO Files).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from config.catalogues.messages import Message

HEADER = (
    "Language: es\n"
    "MIME-Version: 1.0\n"
    "Content-Type: text/plain; charset=UTF-8\n"
    "Content-Transfer-Encoding: 8bit\n"
    "Plural-Forms: nplurals=2; plural=(n != 1);\n"
)
MAGIC = 0x950412DE
_LINE = re.compile(r'(msgctxt|msgid|msgid_plural|msgstr(?:\[\d\])?)? ?"(.*)"$')
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}


@dataclass(frozen=True)
class Entry:
    """A message, the files that say it, and what it is in the other language: one text or two."""

    message: Message
    places: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    is_fuzzy: bool = False

    @property
    def is_translated(self) -> bool:
        """Whether every form is there and nobody doubts it."""
        wanted = 2 if self.message.plural else 1
        return len(self.told) == wanted and all(self.told) and not self.is_fuzzy


def merged(known: Iterable[Entry], said: Mapping[Message, Sequence[str]]) -> list[Entry]:
    """Everything that is ``said`` (messages with their files), with the translations known."""
    old = {entry.message: entry for entry in known}
    return [
        replace(old.get(message, Entry(message)), places=tuple(places))
        for message, places in said.items()
    ]


def written(entries: Iterable[Entry]) -> str:
    """The text of a .po file."""
    blocks = [_block(Entry(Message(""), told=(HEADER,))), *map(_block, entries)]
    return "\n".join(blocks)


def _block(entry: Entry) -> str:
    message = entry.message
    lines = [f"#: {place}" for place in entry.places]
    lines += ["#, fuzzy"] if entry.is_fuzzy else []
    lines += [f"msgctxt {_quoted(message.context)}"] if message.context else []
    lines.append(f"msgid {_quoted(message.text)}")
    if message.plural:
        told = entry.told or ("", "")
        lines.append(f"msgid_plural {_quoted(message.plural)}")
        lines += [f"msgstr[{form}] {_quoted(text)}" for form, text in enumerate(told)]
    else:
        lines.append(f"msgstr {_quoted(entry.told[0] if entry.told else '')}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return '"' + "".join(_ESCAPES.get(sign, sign) for sign in text) + '"'


def _unquoted(text: str) -> str:
    signs = {escaped[1]: sign for sign, escaped in _ESCAPES.items()}
    return re.sub(r"\\(.)", lambda found: signs.get(found[1], found[1]), text)


def read(text: str) -> list[Entry]:
    """The entries of a .po file but for its header; texts may run over several lines."""
    return [entry for block in text.split("\n\n") for entry in _read(block) if entry.message.text]


def _read(block: str) -> Iterator[Entry]:
    parts: dict[str, str] = {}
    places: list[str] = []
    flags, name = "", ""
    for line in block.splitlines():
        if line.startswith("#:"):
            places += line[2:].split()
        elif line.startswith("#,"):
            flags += line
        elif found := _LINE.match(line):
            name = found[1] or name
            parts[name] = parts.get(name, "") + _unquoted(found[2])
    if "msgid" in parts:
        names = ("msgid", "msgid_plural", "msgctxt")
        message = Message(*(parts.pop(name, "") for name in names))
        told = tuple(parts[key] for key in sorted(parts))
        yield Entry(message, tuple(places), told if any(told) else (), "fuzzy" in flags)


def compiled(entries: Iterable[Entry]) -> bytes:
    """The bytes of a .mo file: texts sorted, with tables of lengths and offsets before them."""
    told = {_key(each.message): "\0".join(each.told) for each in entries if each.is_translated}
    texts = {"": HEADER} | told
    pairs = sorted((text.encode(), told.encode()) for text, told in texts.items())
    columns = [[pair[side] for pair in pairs] for side in (0, 1)]
    first = 28
    at = first + 16 * len(pairs)
    tables, body = b"", b""
    for column in columns:
        for each in column:
            tables += struct.pack("<II", len(each), at + len(body))
            body += each + b"\0"
    head = struct.pack("<7I", MAGIC, 0, len(pairs), first, first + 8 * len(pairs), 0, at)
    return head + tables + body


def _key(message: Message) -> str:
    """How a program looks it up: context, EOT, text; NUL and the plural after it."""
    text = f"{message.context}\4{message.text}" if message.context else message.text
    return f"{text}\0{message.plural}" if message.plural else text
