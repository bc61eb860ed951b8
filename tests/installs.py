"""Installs of their own: a folder and a database, in which processes run what people run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg
from django.conf import settings

ROOT = Path(__file__).resolve().parents[1]
OURS = ("DATABASE_URL", "DATABASE_PASSWORD", "DATA_DIR", "MAIL_URL", "REDIS_URL", "PRODUCTION")


@contextmanager
def fresh_postgres() -> Iterator[str]:
    """The address of an empty database on the server that the tests use; gone afterwards."""
    told = settings.DATABASES["default"]
    host, port = told["HOST"] or "127.0.0.1", told["PORT"] or 5432
    login = {"host": host, "port": port, "user": told["USER"]}
    if told["PASSWORD"]:
        login["password"] = told["PASSWORD"]
    name = f"roofround_{uuid4().hex[:12]}"
    with psycopg.connect(dbname="postgres", autocommit=True, **login) as link:
        link.execute(f"CREATE DATABASE {name}")
        try:
            yield f"postgres://{told['USER']}@{host}:{port}/{name}"
        finally:
            link.execute(f"DROP DATABASE {name} WITH (FORCE)")


@dataclass(frozen=True)
class Install:
    """One install: its DATA_DIR and, where it is not SQLite in there, its database."""

    folder: Path
    database: str = ""

    def run(self, *words: str, code: int = 0) -> subprocess.CompletedProcess[str]:
        """Run Python with these words; the exit code must be this one."""
        kept = {name: value for name, value in os.environ.items() if name not in OURS}
        own = {"DATA_DIR": str(self.folder)}
        if self.database:
            own |= {"DATABASE_URL": self.database}
            if password := settings.DATABASES["default"]["PASSWORD"]:
                own["DATABASE_PASSWORD"] = password
        done = subprocess.run(
            [sys.executable, *words], cwd=ROOT, env=kept | own, capture_output=True, text=True,
            timeout=180, check=False,
        )  # fmt: skip
        assert done.returncode == code, done.stderr + done.stdout
        return done

    def manage(self, name: str, *words: str, code: int = 0) -> subprocess.CompletedProcess[str]:
        """Run a command of manage.py; Django's checks, half of its work, are tried elsewhere."""
        return self.run("manage.py", name, "--skip-checks", *words, code=code)

    def tell(self, function: str, *words: object) -> Any:
        """What a function ``module:name`` gives in a process of this install, through JSON."""
        module, _, name = function.partition(":")
        code = (
            f"import json, sys, config.wsgi\nfrom {module} import {name} as told\n"
            "sys.stdout.write(json.dumps(told(*sys.argv[1:])))"
        )
        return json.loads(self.run("-c", code, *map(str, words)).stdout)
