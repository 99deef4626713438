"""What every request passes first and every answer last: size, host, token, headers. Plain ASGI."""

from __future__ import annotations

import asyncio
import time
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from diag.web.access import Attempts, Secret, same
from diag.yamltext import LARGEST

__all__ = ["ENTRY_COOKIE", "Door", "Guard", "address_of", "cookie_of"]

ENTRY_COOKIE = "diag_entry"
LARGEST_FORM = 65_536  # bytes
SLOWEST = 20.0  # seconds for a whole body

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
_OPEN = ("/enter", "/static/")  # what can be seen before the token is given


@dataclass(frozen=True)
class Door:
    """How one gets in. Without a token anybody who reaches the address does, which only loopback may be."""

    secret: Secret
    token: str | None
    attempts: Attempts

    def entry(self) -> str:
        """What the cookie of somebody who gave the token holds; it can't be made without our secret."""
        return self.secret.sign("entry", self.token or "")

    def try_token(self, given: str, address: str) -> tuple[bool, float]:
        """Whether the token is right, and how long this address has to wait before it may try again [s]."""
        now = time.monotonic()
        wait = self.attempts.wait(address, now)
        if wait > 0 or self.token is None:
            return False, wait
        if same(self.token, given):
            return True, 0.0
        self.attempts.failed(address, now)
        return False, 0.0


class Guard:
    """Wraps the whole application. `hosts` are the names it answers to; None where the token guards it."""

    def __init__(self, app: ASGIApp, door: Door, hosts: frozenset[str] | None) -> None:
        self.app, self.door, self.hosts = app, door, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        sender = _with_headers(scope, send)
        refused = self._refused(scope)
        body = b""
        if refused is None:
            body, refused = await _body(scope, receive)
        if refused is not None:
            await refused(scope, receive, sender)
        else:
            await self.app(scope, _replay(body, receive), sender)

    def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if self.hosts is not None and _host_name(headers.get("host", "")) not in self.hosts:
            return PlainTextResponse("this server answers to its own address only\n", 421)
        if self.door.token is None or scope["path"].startswith(_OPEN):
            return None
        if same(self.door.entry(), cookie_of(headers, ENTRY_COOKIE)):
            return None
        return self._by_header(headers, scope)

    def _by_header(self, headers: Headers, scope: Scope) -> Response | None:
        """`Authorization: Bearer TOKEN`, for programs; people are led to the page that asks for it."""
        given = headers.get("authorization", "")
        if not given:
            if scope["path"].startswith("/api/"):
                return _fault_json("give the token as Authorization: Bearer TOKEN", 401)
            target = scope["path"] if scope["method"] == "GET" else "/"
            return RedirectResponse(f"/enter?to={quote(target, safe='')}", 303)
        right, wait = self.door.try_token(given.removeprefix("Bearer ").strip(), address_of(scope))
        if right:
            return None
        if wait > 0:
            return _fault_json("too many wrong tokens; wait", 429, {"Retry-After": str(int(wait) + 1)})
        return _fault_json("the token is wrong", 401)


def address_of(scope: Scope) -> str:
    """Of the other side, as the socket knows it; headers that anybody can write don't count."""
    return str(scope["client"][0]) if scope.get("client") else ""


def cookie_of(headers: Headers, name: str) -> str:
    """The value of a cookie, empty when there is none."""
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def _host_name(host: str) -> str:
    return host.lower() if host.endswith("]") else host.lower().rpartition(":")[0] or host.lower()


def _fault_json(what: str, status: int, headers: dict[str, str] | None = None) -> JSONResponse:
    return JSONResponse({"faults": [{"what": what, "place": "", "key": ""}]}, status, headers)


async def _body(scope: Scope, receive: Receive) -> tuple[bytes, Response | None]:
    """The whole body, or the refusal of one that is too large or comes too slowly."""
    largest = LARGEST if scope["path"].startswith("/api/") else LARGEST_FORM
    too_large = PlainTextResponse(f"too large: at most {largest:,} bytes\n", 413)
    length = Headers(scope=scope).get("content-length", "0")
    if not length.isdecimal() or int(length) > largest:
        return b"", too_large
    try:
        async with asyncio.timeout(SLOWEST):
            body = await _read(receive, largest)
    except TimeoutError:
        return b"", PlainTextResponse("the request came too slowly\n", 408)
    return (body, None) if len(body) <= largest else (b"", too_large)


async def _read(receive: Receive, largest: int) -> bytes:
    body, more = bytearray(), True
    while more and len(body) <= largest:
        message = await receive()
        body += message.get("body", b"")
        more = message["type"] == "http.request" and message.get("more_body", False)
    return bytes(body)


def _replay(body: bytes, receive: Receive) -> Receive:
    """Hands the body on once; after that only the other side's leaving can come."""
    messages: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def give() -> Message:
        return messages.pop() if messages else await receive()

    return give


def _with_headers(scope: Scope, send: Send) -> Send:
    stored = scope["path"].startswith("/static/")

    async def give(message: Any) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)  # the report brings a policy of its own
            headers.setdefault("Cache-Control", "no-cache" if stored else "no-store")
        await send(message)

    return give
