"""A PostgreSQL server of a proof's own, to be stopped in any way while others use it."""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import connection

PACKAGED = Path("/usr/lib/postgresql")
ACCOUNT = "postgres"
"""PostgreSQL refuses to run as root, so root lends the cluster to the packaged account."""
ROLE = "proof"


@dataclass(frozen=True)
class Cluster:
    """One server; ``stop`` and ``start`` as often as wanted."""

    programs: Path
    folder: Path
    port: int

    def make(self) -> None:
        """Make the server's folder of data."""
        self._run("initdb", "-D", "data", "-U", ROLE, "--auth=trust")

    def start(self) -> None:
        """Start the server; comes back once it takes connections."""
        # fsync guards against power cuts, which nobody can stage here; killing is staged.
        words = f"-p {self.port} -h 127.0.0.1 -k {self.folder} -c fsync=off"
        self._run("pg_ctl", "-D", "data", "-w", "-l", "log", "-o", words, "start")

    def stop(self, how: str) -> None:
        """``fast`` ends every session, ``immediate`` is a crash with recovery at the next start."""
        self._run("pg_ctl", "-D", "data", "-w", "-m", how, "stop")

    def _run(self, program: str, *words: str) -> None:
        lent = ["runuser", "-u", ACCOUNT, "--"] if os.getuid() == 0 else []
        # Its own files for output: the server keeps them open, and a pipe would never end.
        with (self.folder / "output").open("ab") as output:
            subprocess.run(  # noqa: S603  # our own server
                [*lent, str(self.programs / program), *words],
                cwd=self.folder, check=True, stdout=output, stderr=output,
            )  # fmt: skip


@contextmanager
def own_cluster() -> Iterator[Cluster]:
    """A fresh server that Django points at meanwhile; ValueError where there is no PostgreSQL."""
    if connection.vendor != "postgresql":
        raise ValueError(
            "This proof stops a PostgreSQL server of its own: set DATABASE_URL=postgres://… to any "
            "PostgreSQL database, which is left alone."
        )
    programs = _programs()
    with tempfile.TemporaryDirectory(prefix="cluster-") as folder:
        if os.getuid() == 0:
            os.chown(folder, pwd.getpwnam(ACCOUNT).pw_uid, -1)
        cluster = Cluster(programs, Path(folder), _free_port())
        cluster.make()
        cluster.start()
        try:
            with _pointing_at(cluster):
                yield cluster
        finally:
            cluster.stop("immediate")


def _programs() -> Path:
    found = shutil.which("initdb")
    packaged = sorted(PACKAGED.glob("*/bin/initdb"))
    if not found and not packaged:
        raise ValueError(
            "initdb is missing: install PostgreSQL's server, apt-get install postgresql"
        )
    return Path(found or packaged[-1]).parent


@contextmanager
def _pointing_at(cluster: Cluster) -> Iterator[None]:
    own = {**connection.settings_dict}
    connection.close()
    connection.settings_dict.update(HOST="127.0.0.1", PORT=cluster.port, USER=ROLE, PASSWORD="")
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict.update(own)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port
