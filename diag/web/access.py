"""Who may come in: the token of a server that others can reach, and proof that a form came from our own page."""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import os
import secrets
import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path

from diag.errors import Fault, InputError

__all__ = ["LEAST_TOKEN", "Attempts", "Secret", "same"]

LEAST_TOKEN = 12  # characters


@dataclass(frozen=True, slots=True)
class Secret:
    """The server's own secret. Kept in its folder, so that forms and entries outlive a restart."""

    key: bytes

    @classmethod
    def of(cls, folder: Path) -> Secret:
        """Read it, or make it on the first start. Raises InputError when the folder can't be used."""
        path = folder / ".secret"
        try:
            with contextlib.suppress(FileExistsError):
                descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
                with os.fdopen(descriptor, "wb") as stream:
                    stream.write(secrets.token_bytes(32))
            key = path.read_bytes()
        except OSError as error:
            raise InputError(Fault(f"can't be used ({error.strerror})", str(folder))) from None
        if len(key) != 32:
            raise InputError(Fault("is damaged; delete it, and everybody enters anew", str(path)))
        return cls(key)

    def sign(self, purpose: str, text: str) -> str:
        """A mark that only this server can make, for one purpose."""
        return hmac.new(self.key, f"{purpose}\0{text}".encode(), hashlib.sha256).hexdigest()

    def signed(self, purpose: str, text: str, mark: str) -> bool:
        """Whether the mark is ours; takes the same time right or wrong."""
        return same(self.sign(purpose, text), mark)


def same(known: str, given: str) -> bool:
    """Compare secrets without telling by time where they differ."""
    return hmac.compare_digest(known.encode(), given.encode("utf-8", "replace"))


@dataclass(slots=True)
class Attempts:
    """Failures to enter by address: after `most` within `window` seconds that address waits.

    The table is bounded; under a flood of addresses the oldest ones are forgotten first.
    """

    most: int = 5
    window: float = 60.0
    room: int = 4096
    _failures: OrderedDict[str, list[float]] = field(default_factory=OrderedDict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def wait(self, address: str, now: float) -> float:
        """Seconds until this address may try again, 0 when it may now."""
        with self._lock:
            recent = [t for t in self._failures.get(address, ()) if now - t < self.window]
            return recent[-self.most] + self.window - now if len(recent) >= self.most else 0.0

    def failed(self, address: str, now: float) -> None:
        with self._lock:
            recent = [t for t in self._failures.pop(address, []) if now - t < self.window]
            self._failures[address] = [*recent[-self.most :], now]
            while len(self._failures) > self.room:
                self._failures.popitem(last=False)
