"""The server as a process, a client that fills in forms, and a browser."""

from __future__ import annotations

import re
import select
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, sync_playwright

from diag import knowledgebase
from diag.knowledgebase import Knowledge

_CHROMIUM = "/usr/bin/chromium"
_ARGUMENTS = [
    "--no-sandbox", "--headless=new", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-quic",
]


@dataclass
class Server:
    """`diag serve` on a free port (or the port it had), killed without warning by `kill`."""

    folder: Path
    port: int = 0
    token: str = ""
    process: subprocess.Popen[str] = field(init=False)

    def __post_init__(self) -> None:
        words = [str(Path(sys.executable).parent / "diag"), "serve", "--port", str(self.port), "--folder",
                 str(self.folder), *(["--token", self.token] if self.token else [])]
        self.process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        assert self.process.stdout is not None
        ready, _, _ = select.select([self.process.stdout], [], [], 60)
        line = self.process.stdout.readline() if ready else ""
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
        assert found, line + (self.process.stdout.read() if self.process.poll() is not None else "")
        self.port = int(found[1])

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


class Visitor:
    """Fills in the forms as a browser without scripts does."""

    def __init__(self, address: str) -> None:
        self.client = httpx.Client(base_url=address, timeout=60)
        self.proof = self.find_proof(self.client.get("/").text)

    @staticmethod
    def find_proof(page: str) -> str:
        found = re.search(r'name="proof" value="([0-9a-f]+)"', page)
        assert found
        return found[1]

    def begin(self, **fields: str) -> str:
        """A new walk; its code."""
        answer = self.client.post("/walks", data={"proof": self.proof, "do": "begin", **fields})
        assert answer.status_code == 303, answer.text
        return answer.headers["location"].removeprefix("/walks/")

    def press(self, code: str, step: str, do: str = "answer", **fields: str | list[str]) -> httpx.Response:
        return self.client.post(f"/walks/{code}", data={"proof": self.proof, "step": step, "do": do, **fields})


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return knowledgebase.load()


@pytest.fixture(scope="session")
def start_server() -> Iterator[Callable[..., Server]]:
    begun: list[Server] = []

    def start(folder: Path, port: int = 0, token: str = "") -> Server:
        begun.append(Server(folder, port, token))
        return begun[-1]

    yield start
    for server in begun:
        server.kill()


@pytest.fixture(scope="session")
def server(start_server: Callable[..., Server], tmp_path_factory: pytest.TempPathFactory) -> Server:
    return start_server(tmp_path_factory.mktemp("walks"))


@pytest.fixture
def visitor(server: Server) -> Visitor:
    return Visitor(server.address)


@pytest.fixture
def new_visitor(server: Server) -> Callable[[], Visitor]:
    return lambda: Visitor(server.address)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Fails, and does not skip, where no browser is installed."""
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=_CHROMIUM, args=_ARGUMENTS)
        yield found
        found.close()
