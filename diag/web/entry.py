"""The page that asks for the token, for servers that others can reach."""

from __future__ import annotations

import re

from fastapi import APIRouter
from fastapi.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from diag.web import forms
from diag.web.guard import ENTRY_COOKIE, address_of
from diag.web.site import Site

__all__ = ["router"]

_TARGET = re.compile(r"/(walks/[a-z2-9]{6}(/[a-z-]+)?|pictures)?")  # of our own pages only, never another host


def router(site: Site) -> APIRouter:
    """`GET` and `POST /enter`."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/enter")
    def ask(request: Request) -> Response:
        return site.page(request, "enter.html", fault="", to=_target(request.query_params.get("to", "/")))

    @routes.post("/enter")
    async def enter(request: Request) -> Response:
        return await run_in_threadpool(_enter, site, request, await request.body())

    return routes


def _enter(site: Site, request: Request, body: bytes) -> Response:
    fields = forms.read(body)
    to = _target(forms.first(fields, "to"))
    if not site.ours(request, fields):
        return site.page(request, "enter.html", 403, fault="Cookies are needed here. Please try again.", to=to)
    right, wait = site.door.try_token(forms.first(fields, "token"), address_of(request.scope))
    if right:
        answer: Response = RedirectResponse(to, 303)
        answer.set_cookie(ENTRY_COOKIE, site.door.entry(), max_age=30 * 86400, httponly=True, samesite="lax")
        return answer
    if wait > 0:
        fault = f"Too many wrong tokens from here. Wait {int(wait) + 1} seconds."
        answer = site.page(request, "enter.html", 429, fault=fault, to=to)
        answer.headers["Retry-After"] = str(int(wait) + 1)
        return answer
    return site.page(request, "enter.html", 403, fault="That is not the token of this server.", to=to)


def _target(path: str) -> str:
    return path if _TARGET.fullmatch(path) else "/"
