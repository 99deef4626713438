"""The API: the same structures as `--json` on the command line, told by the same models."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
from fastapi import APIRouter
from fastapi.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from diag.case import from_data
from diag.case.model import Case
from diag.errors import Fault, InputError
from diag.report import json, records
from diag.walk import Given, Step, Walk
from diag.web import schemas
from diag.web.site import Site

__all__ = ["MediaTypeError", "Next", "json_answer", "router"]

_NAME = "request"


class MediaTypeError(InputError):
    """The body is not said to be JSON. A page of another site can't send this type unasked."""


class Next(msgspec.Struct, frozen=True):
    """What to ask now, and what is known of the urgency: null until the kind of point is told."""

    step: Step
    urgency: Any


class _Asked(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A case as far as it is known, and what was asked already, in order."""

    case: dict[str, Any] = {}
    trail: tuple[Given, ...] = ()


def router(site: Site) -> APIRouter:
    """`/api/review`, `/api/next`, `/api/knowledge`."""
    routes = APIRouter(prefix="/api")
    api = _Api(site)
    for path, work in {"/review": api.review, "/next": api.next}.items():
        routes.add_api_route(path, _taking(work), methods=["POST"], name=path[1:], description=work.__doc__,
                             openapi_extra=schemas.of_post(path))
    routes.add_api_route("/knowledge", api.knowledge, openapi_extra=schemas.of_get("/knowledge"))
    routes.add_api_route("/knowledge/{record}", api.record, openapi_extra=schemas.of_get("/knowledge/{record}"))
    return routes


def json_answer(value: Any, status: int = 200) -> Response:
    """The same text as the command line prints."""
    return Response(json.text(value) + "\n", status, media_type="application/json")


def _taking(work: Callable[[bytes], Response]) -> Callable[..., Any]:
    async def take(request: Request) -> Response:
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            raise MediaTypeError("send a JSON object with Content-Type: application/json")
        return await run_in_threadpool(work, await request.body())

    return take


class _Api:
    def __init__(self, site: Site) -> None:
        self.site = site

    def review(self, body: bytes) -> Response:
        """A case gives the whole of `diag review --json`."""
        return json_answer(self.site.mind.findings(self._case(_object(body))))

    def next(self, body: bytes) -> Response:
        """What to ask now. The client keeps the case and the trail; nothing is stored here."""
        asked = _converted(body)
        case = self._case(asked.case) if asked.case else Case()
        return json_answer(Next(self.site.mind.step(Walk(case, asked.trail)), self.site.mind.urgency(case)))

    def knowledge(self) -> Response:
        """Causes and signs as `diag knowledge causes --json` and `signs --json` give them."""
        known = self.site.knowledge
        return json_answer({
            "fingerprint": known.fingerprint,
            "causes": records.cause_rows(known),
            "signs": records.sign_rows(known),
        })

    def record(self, record: str) -> Response:
        """One record as `diag knowledge show ID --json` gives it."""
        try:
            return json_answer(records.record(record, self.site.knowledge))
        except InputError as fault:
            return json_answer({"faults": fault.faults}, 404)

    def _case(self, data: dict[str, Any]) -> Case:
        return from_data(data, _NAME, self.site.knowledge)


def _object(body: bytes) -> dict[str, Any]:
    try:
        return msgspec.json.decode(body, type=dict[str, Any])
    except (msgspec.MsgspecError, RecursionError) as error:
        raise InputError(Fault(f"is no JSON object ({error})", _NAME)) from None


def _converted(body: bytes) -> _Asked:
    try:
        return msgspec.json.decode(body, type=_Asked)
    except (msgspec.MsgspecError, RecursionError) as error:
        raise InputError(Fault(f"doesn't fit: {error}", _NAME)) from None
