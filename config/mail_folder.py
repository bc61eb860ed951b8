"""Mail kept as files where no server is set: one .eml for each message, to be read on a page."""

from __future__ import annotations

import re
from collections.abc import Sequence

from django.conf import settings
from django.core.mail.backends.base import BaseEmailBackend
from django.core.mail.message import EmailMessage

from config.whole_files import whole_file

_UNFIT = re.compile(r"[^A-Za-z0-9._@-]+")


class FolderBackend(BaseEmailBackend):
    """Writes each message into ``MAIL_FOLDER``; the same message again replaces its file."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """How many were written; OSError where the folder takes none."""
        folder = settings.MAIL_FOLDER
        folder.mkdir(parents=True, exist_ok=True)
        for mail in email_messages:
            message = mail.message()
            name = _UNFIT.sub("-", message["Message-ID"]).strip("-.")[:150]
            with whole_file(folder / f"{name}.eml") as file:
                file.write(message.as_bytes(linesep="\r\n"))  # type: ignore[call-arg]  # Django's own
        return len(email_messages)
