"""Letters in a folder, read as the files that they are."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

from schedules.proofs.stories import Seen


@dataclass(frozen=True)
class Came:
    """One letter: its key as in the Message-ID, to whom, and what it says."""

    key: str
    to: str
    seen: Seen

    def link(self, site: str) -> str:
        """The owner's link in it; ValueError where there is none."""
        found = re.search(re.escape(site) + r"/k/[a-z2-7]+", self.seen.text)
        if found is None:
            raise ValueError(f"{self.key} holds no link of {site}: {self.seen.text[-400:]}")
        return found[0]


class MailFolder:
    """What has come into it, and at which turn; each file is read once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._known: set[str] = set()
        self.came: list[Came] = []

    def look(self, now: datetime) -> None:
        """Note what is new as having come ``now``."""
        there = {file.name for file in self._folder.glob("*.eml")}
        for name in sorted(there - self._known):
            self.came.append(_read(self._folder / name, now))
        self._known |= there

    def latest(self, to: str, holding: str) -> Came:
        """The last letter to an address that holds a phrase; ValueError where none does."""
        for each in reversed(self.came):
            if each.to == to and holding in each.seen.text:
                return each
        raise ValueError(f"no letter to {to} holds {holding!r}")


def _read(file: Path, now: datetime) -> Came:
    told = message_from_bytes(file.read_bytes(), _class=EmailMessage, policy=policy.default)
    parts = {part.get_content_type(): part.get_content() for part in told.walk()
             if not part.is_multipart()}  # fmt: skip
    calendar = parts.get("text/calendar", "")
    key = str(told["Message-ID"]).strip("<>").rpartition("@")[0]
    # the policy turns line ends of text into the machine's own; the file's are CRLF
    calendar = calendar.replace("\r\n", "\n").replace("\n", "\r\n")
    return Came(key, str(told["To"]), Seen(now, parts["text/plain"], calendar))
