"""What the pages share: the walks, the thinking, the way in, and how a template becomes an answer."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from diag.knowledgebase import Knowledge
from diag.report.figures import System
from diag.web.forms import first
from diag.web.guard import Door, cookie_of
from diag.web.mind import Mind
from diag.web.store import Draft, Store

__all__ = ["HERE", "Site", "environment", "wanted_units"]

HERE = Path(__file__).parent
_SHARED = HERE.parent / "report" / "templates"  # shared.html: what the report shows alike
_VISIT = "diag_visit"
_VISIT_PATTERN = re.compile(r"[0-9a-f]{32}")


def environment() -> Environment:
    """Templates that escape everything and know no undefined names."""
    return Environment(
        loader=FileSystemLoader([HERE / "templates", _SHARED]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@dataclass(frozen=True)
class Site:
    store: Store
    mind: Mind
    door: Door
    templates: Environment

    @property
    def knowledge(self) -> Knowledge:
        return self.store.knowledge

    def page(self, request: Request, template: str, status: int = 200, **values: Any) -> Response:
        """A page with the proof that its forms are ours; a new visitor gets a visit cookie with it."""
        known = self._visit(request)
        visit = known or secrets.token_hex(16)
        values |= {"proof": self.door.secret.sign("form", visit), "token": self.door.token is not None}
        answer = HTMLResponse(self.templates.get_template(template).render(values), status)
        if not known:
            answer.set_cookie(_VISIT, visit, max_age=365 * 86400, httponly=True, samesite="lax")
        return answer

    def ours(self, request: Request, fields: Draft) -> bool:
        """Whether a form was filled in on a page of ours, by the browser that it was given to."""
        visit = self._visit(request)
        return bool(visit) and self.door.secret.signed("form", visit, first(fields, "proof"))

    def _visit(self, request: Request) -> str:
        found = cookie_of(request.headers, _VISIT)
        return found if _VISIT_PATTERN.fullmatch(found) else ""


def wanted_units(request: Request, kept: System) -> System:
    """Units asked for in the address, else those of the walk."""
    asked = request.query_params.get("units", "")
    return "us" if asked == "us" else "metric" if asked == "metric" else kept
