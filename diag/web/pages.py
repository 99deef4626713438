"""The pages: start, one question a screen, so far, results, card, report. Each works without scripts."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from fastapi import APIRouter
from fastapi.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from diag import pictures
from diag.case import to_text
from diag.errors import InputError
from diag.report import html, pdf, values
from diag.report.figures import System
from diag.report.worded import worded
from diag.walk import Step, Walk
from diag.walk.facts import COMPLAINT
from diag.web import forms, walking
from diag.web.site import Site, wanted_units
from diag.web.store import Draft, Kept

__all__ = ["router"]

_FORM = "application/x-www-form-urlencoded"
_WALK = "/walks/{code}"


def router(site: Site) -> APIRouter:
    """All pages of a site."""
    routes = APIRouter(include_in_schema=False)
    pages = _Pages(site)
    gets: dict[str, Callable[..., Response]] = {
        "/": pages.start,
        _WALK: pages.question,
        f"{_WALK}/about": pages.about,
        f"{_WALK}/so-far": pages.so_far,
        f"{_WALK}/result": pages.result,
        f"{_WALK}/card": pages.card,
        f"{_WALK}/report": pages.report,
        f"{_WALK}/report.pdf": pages.report_pdf,
        f"{_WALK}/case.yaml": pages.case_file,
        "/resume": pages.resume,
        "/pictures": pages.pictures,
    }
    posts: dict[str, Callable[..., Response]] = {
        "/walks": pages.begin,
        _WALK: pages.answer,
        f"{_WALK}/about": pages.tell,
    }
    for path, show in gets.items():
        routes.add_api_route(path, show, methods=["GET", "HEAD"])
    for path, take in posts.items():
        routes.add_api_route(path, _taking(take), methods=["POST"])
    return routes


def _taking(take: Callable[..., Response]) -> Callable[..., object]:
    """Reads the form, then does the work beside the loop, so that one slow disk holds up nobody else."""

    async def with_code(request: Request) -> Response:
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != _FORM:
            raise InputError("a form of this page was expected")
        fields = forms.read(await request.body())
        return await run_in_threadpool(take, request, fields, **request.path_params)

    return with_code


class _Pages:
    def __init__(self, site: Site) -> None:
        self.site = site

    def start(self, request: Request) -> Response:
        return self._start(request, {}, "", 200)

    def begin(self, request: Request, fields: Draft) -> Response:
        if not self.site.ours(request, fields):
            return self._start(request, fields, _NOT_OURS, 403)
        try:
            code = self.site.store.new(walking.start_of(fields, self.site.knowledge))
        except InputError as fault:
            return self._start(request, fields, fault.faults[0].what, 422)
        return RedirectResponse(f"/walks/{code}", 303)

    def _start(self, request: Request, fields: Draft, fault: str, status: int) -> Response:
        draft = {name: forms.first(fields, name) for name in ("title", "complaint", "said", "units")}
        return self.site.page(
            request, "start.html", status, draft=draft, fault=fault, complaints=COMPLAINT.labels,
            walks=self.site.store.recent(), action="/walks", code="",
        )

    def resume(self, request: Request) -> Response:
        """From a code typed in, on whatever device."""
        code = "".join(request.query_params.get("code", "").split()).replace("-", "").lower()
        with self.site.store.locked(code):
            self.site.store.load(code)
        return RedirectResponse(f"/walks/{code}", 303)

    def question(self, request: Request, code: str) -> Response:
        kept = self._kept(code)
        step = self.site.mind.put(kept.walk)
        if step.kind == "done":
            return RedirectResponse(f"/walks/{code}/result", 303)
        return self._question(request, code, kept, step, "", 200)

    def answer(self, request: Request, fields: Draft, code: str) -> Response:
        store = self.site.store
        with store.locked(code):
            kept = store.load(code)
            if not self.site.ours(request, fields):
                return self._again(request, code, kept, fields, _NOT_OURS, 403)
            step = forms.first(fields, "step")
            if step == self.site.mind.put(kept.walk).id and forms.first(fields, "do") != "back":
                kept = kept.typed(step, _answers(fields))
            try:
                store.save(code, walking.moved(kept, fields, self.site.mind))
            except walking.StaleError as fault:
                return self._question(request, code, kept, self.site.mind.put(kept.walk), str(fault), 409)
            except InputError as fault:
                store.save(code, kept)
                return self._again(request, code, kept, fields, fault.faults[0].what, 422)
        return RedirectResponse(f"/walks/{code}", 303)

    def _again(self, request: Request, code: str, kept: Kept, fields: Draft, fault: str, status: int) -> Response:
        """The question once more, with what was typed and what is wrong with it."""
        step = self.site.mind.put(kept.walk)
        shown = kept.typed(step.id, _answers(fields)) if forms.first(fields, "step") == step.id else kept
        return self._question(request, code, shown, step, fault, status)

    def _question(self, request: Request, code: str, kept: Kept, step: Step, fault: str, status: int) -> Response:
        draft = kept.drafts.get(step.id, {})
        found = self.site.mind.urgency(kept.walk.case)
        asked = self.site.knowledge.questions.get(step.id.removeprefix("look:"))
        step, before = worded((step, _cautioned(kept.walk, self.site)), kept.start.units)
        return self.site.page(
            request, "question.html", status, code=code, step=step, fault=fault, finer=forms.FINER,
            options=forms.options(step, draft, self.site.knowledge), value=forms.first(draft, "value"),
            number=len(kept.walk.trail) + 1, first=not kept.walk.trail,
            picture=pictures.svg(asked.picture) if asked and asked.picture else "",
            urgency=values.urgency_box(found, kept.walk.case, kept.start.units) if found else None,
            cautions=[text for text in step.cautions if text not in before],
            cautioned=[text for text in step.cautions if text in before],
        )

    def about(self, request: Request, code: str) -> Response:
        kept = self._kept(code)
        start, case = kept.start, kept.walk.case
        # What was answered under way stands too: what is left empty here is forgotten.
        draft = {"title": start.title, "complaint": case.complaint or start.complaint, "said": start.said,
                 "units": start.units}
        return self._about(request, code, draft, "", 200)

    def _about(self, request: Request, code: str, draft: dict[str, str], fault: str, status: int) -> Response:
        return self.site.page(
            request, "start.html", status, draft=draft, fault=fault, complaints=COMPLAINT.labels, walks=[],
            action=f"/walks/{code}/about", code=code,
        )

    def tell(self, request: Request, fields: Draft, code: str) -> Response:
        store = self.site.store
        typed = {name: forms.first(fields, name) for name in ("title", "complaint", "said", "units")}
        with store.locked(code):
            kept = store.load(code)
            if not self.site.ours(request, fields):
                return self._about(request, code, typed, _NOT_OURS, 403)
            try:
                start = walking.start_of(fields, self.site.knowledge)
                store.save(code, walking.about(kept, start, self.site.knowledge))
            except InputError as fault:
                return self._about(request, code, typed, fault.faults[0].what, 422)
        return RedirectResponse(f"/walks/{code}", 303)

    def so_far(self, request: Request, code: str) -> Response:
        return self._reviewed(request, code, "so_far.html")

    def result(self, request: Request, code: str) -> Response:
        return self._reviewed(request, code, "result.html")

    def report(self, request: Request, code: str) -> Response:
        """The report as it is filed. Its style is inside, so its policy is its own, stricter than ours."""
        text, _ = self._report(request, code)
        return HTMLResponse(text, headers={"Content-Security-Policy": f"{html.policy()}; frame-ancestors 'none'"})

    def report_pdf(self, request: Request, code: str) -> Response:
        text, units = self._report(request, code)
        name = f'attachment; filename="report-{code}.pdf"'
        return Response(pdf.content(text, units), media_type="application/pdf", headers={"Content-Disposition": name})

    def _report(self, request: Request, code: str) -> tuple[str, System]:
        kept = self._kept(code)
        case, units = kept.walk.case, wanted_units(request, kept.start.units)
        if not case.point.kind:
            raise InputError(_NOTHING)
        found = self.site.mind.findings(case)
        return html.text(found, case, self.site.knowledge, units, date.today()), units

    def _reviewed(self, request: Request, code: str, template: str) -> Response:
        kept = self._kept(code)
        case = kept.walk.case
        if not case.point.kind:
            return RedirectResponse(f"/walks/{code}", 303)
        units = wanted_units(request, kept.start.units)
        found = self.site.mind.findings(case)
        skipped = sum(given.how == "skipped" for given in kept.walk.trail)
        return self.site.page(
            request, template, code=code, page=values.page(found, case, self.site.knowledge, units), units=units,
            card=values.card(found, case, units), skipped=skipped,
            regrease=values.regrease_card(found, case, self.site.knowledge, units),
            unsettled=_open(kept.walk, self.site),
        )

    def card(self, request: Request, code: str) -> Response:
        return self._reviewed(request, code, "card.html")

    def case_file(self, request: Request, code: str) -> Response:
        """The case as `diag review` reads it; also what can be carried to another machine."""
        case = self._kept(code).walk.case
        if not case.point.kind:
            raise InputError(_NOTHING)
        name = f'attachment; filename="case-{code}.yaml"'
        return Response(to_text(case), media_type="application/yaml", headers={"Content-Disposition": name})

    def pictures(self, request: Request) -> Response:
        known = self.site.knowledge.pictures.values()
        return self.site.page(request, "pictures.html", pictures=[(p, pictures.svg(p.id)) for p in known])

    def _kept(self, code: str) -> Kept:
        with self.site.store.locked(code):
            return self.site.store.load(code)


_NOTHING = "nothing is known of the point yet; answer the first question"
_NOT_OURS = "This page was open for too long, or cookies are off. Nothing is lost: please send it once more."


def _answers(fields: Draft) -> Draft:
    """What belongs to the answer, without the fields that carry the form."""
    return {k: v for k, v in fields.items() if k in ("choice", "value") or k.startswith("finer.")}


def _cautioned(walk: Walk, site: Site) -> tuple[str, ...]:
    """Cautions that stood in full before an earlier look; they are folded from then on."""
    looks = (site.knowledge.questions.get(given.step.removeprefix("look:")) for given in walk.trail)
    return tuple(site.knowledge.cautions[caution].text for look in looks if look for caution in look.cautions)


def _open(walk: Walk, site: Site) -> bool:
    """Whether there is still something worth asking."""
    return site.mind.put(walk).kind != "done"
