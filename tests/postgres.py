"""A private PostgreSQL server in a folder of its own; what is missing makes tests fail, not pass over."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from sqlalchemy import create_engine
from sqlalchemy.pool import NullPool

USER = "postgres"  # Debian's; the server refuses to run as root


def programs() -> Path:
    """Folder of the newest server programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: float(p.parts[-3]))
    if not found:
        raise FileNotFoundError("the case log is tested on a real PostgreSQL: apt-get install postgresql")
    return found[-1].parent


class Server:
    """Runs from `start` to `remove`; reachable by a socket in its folder only."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="diag-pg-"))
        self.data = self.folder / "data"
        self._numbers = count(1)
        self._free: list[str] = []  # databases that no test is using
        if os.geteuid() == 0:
            shutil.chown(self.folder, USER)
        self._run("initdb", "--no-sync", "-A", "trust", "-U", "crew", "-E", "UTF8", "--locale=C.UTF-8", "-D", self.data)
        self.start()

    def start(self) -> None:
        # No fsync: it guards against a machine that fails, which no test can have; a server that crashes it can.
        options = f"-k {self.folder} -c listen_addresses='' -c fsync=off"
        self._run("pg_ctl", "start", "-w", "-D", self.data, "-l", self.folder / "log", "-o", options)

    def crash(self) -> None:
        """Stop with no flush and no goodbye; the next start has to recover."""
        self._run("pg_ctl", "stop", "-m", "immediate", "-D", self.data)

    def remove(self) -> None:
        self.crash()
        shutil.rmtree(self.folder)

    def url(self, database: str) -> str:
        return f"postgresql://crew@/{database}?host={self.folder}"

    @contextmanager
    def database(self) -> Iterator[str]:
        """URL of a database without a log, for the time of the block."""
        name = self._free.pop() if self._free else self._new_database()
        yield self.url(name)
        self._execute(name, "DROP TABLE IF EXISTS diag_event, diag_record, diag_version")
        self._free.append(name)

    def _new_database(self) -> str:
        name = f"log{next(self._numbers)}"
        self._execute("postgres", f"CREATE DATABASE {name}")
        return name

    def _execute(self, database: str, statement: str) -> None:
        url = self.url(database).replace("postgresql:", "postgresql+psycopg:")
        engine = create_engine(url, isolation_level="AUTOCOMMIT", poolclass=NullPool)
        with engine.connect() as connection:
            connection.exec_driver_sql(statement)

    def _run(self, program: str, *arguments: str | Path) -> None:
        as_user = ["runuser", "-u", USER, "--"] if os.geteuid() == 0 else []
        command = [*as_user, str(programs() / program), *map(str, arguments)]
        subprocess.run(command, check=True, cwd="/", stdout=subprocess.DEVNULL, timeout=60)
