"""Fixtures that several test files share."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from diag import knowledgebase
from diag.cli import main
from diag.knowledgebase import Knowledge
from tests.postgres import Server

# A busy machine is no failure: nothing here asserts on time. On CI the same examples come each run, so that a landing
# doesn't hang on a draw; elsewhere each run draws new ones, and what they find is mended here first.
settings.register_profile("any_speed", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "any_speed")


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """The carried knowledge."""
    return knowledgebase.load()


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs a command: exit status, output, errors."""

    def go(*arguments: str) -> tuple[int, str, str]:
        status = main(arguments)
        return (status, *capsys.readouterr())

    return go


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server of our own, for the whole run."""
    server = Server()
    yield server
    server.remove()


@pytest.fixture(params=["sqlite", "postgresql"])
def log_place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a new case log can be: once a file, once a database on a server."""
    if request.param == "sqlite":
        yield str(tmp_path / "log.sqlite")
    else:
        server: Server = request.getfixturevalue("postgres")
        with server.database() as url:
            yield url
