"""The application: pages, API and static files behind the guard, and one place where faults become answers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fastapi import FastAPI
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from diag import __version__
from diag.errors import Fault, InputError
from diag.knowledgebase import Knowledge
from diag.web import api, entry, pages, schemas
from diag.web.access import Attempts, Secret
from diag.web.guard import Door, Guard
from diag.web.mind import Mind
from diag.web.site import HERE, Site, environment
from diag.web.store import NoSuchWalkError, Store

__all__ = ["LOOPBACK", "create_app"]

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


def create_app(folder: Path, knowledge: Knowledge, token: str | None = None) -> ASGIApp:
    """The whole server as an ASGI application that keeps its walks in `folder`.

    Without a token it answers to the names of this machine only, so that no page from outside can be led here
    under another name. Raises InputError when the folder can't be used.
    """
    door = Door(Secret.of(folder), token, Attempts())
    site = Site(Store(folder, knowledge), Mind(knowledge), door, environment())
    app = _bare()
    app.include_router(pages.router(site))
    app.include_router(entry.router(site))
    app.include_router(api.router(site))
    app.mount("/static", StaticFiles(directory=HERE / "static"))
    _answer_faults(app, site)
    return Guard(app, door, None if token is not None else LOOPBACK)


def _bare() -> FastAPI:
    """No pages of the framework: they load scripts from elsewhere. The description itself is served."""
    app = FastAPI(title="diag", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json")
    describe = app.openapi

    def described() -> dict[str, Any]:
        found = describe()
        found["components"] = {"schemas": schemas.components()}
        for path in found["paths"].values():  # the framework's own words for a bad path: ids are plain text here
            path.get("get", {}).get("responses", {}).pop("422", None)
        return found

    app.openapi = described  # type: ignore[method-assign]
    return app


def _answer_faults(app: FastAPI, site: Site) -> None:
    def fault(request: Request, error: Exception) -> Response:
        faults, status = _told(error)
        if request.url.path.startswith("/api/"):
            answer = api.json_answer({"faults": faults}, status)
        else:
            answer = site.page(request, "error.html", status, faults=[f.what for f in faults])
        answer.headers.update(getattr(error, "headers", None) or {})
        return answer

    app.add_exception_handler(InputError, fault)
    app.add_exception_handler(HTTPException, fault)
    app.add_exception_handler(Exception, fault)


def _told(error: Exception) -> tuple[tuple[Fault, ...], int]:
    """What the person reads and the status; a fault of ours names nothing of the inside."""
    if isinstance(error, NoSuchWalkError):
        return error.faults, 404
    if isinstance(error, api.MediaTypeError):
        return error.faults, 415
    if isinstance(error, InputError):
        return error.faults, 422
    if isinstance(error, HTTPException):
        words = {404: "there is no such page", 405: "that can't be done here"}
        return (Fault(words.get(error.status_code, error.detail)),), error.status_code
    return (Fault("a fault of this program, not of what you typed; what was answered before is kept"),), 500
