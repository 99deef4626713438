"""Sheets against a specification: verdicts, questions, and the shelf in order of fit minus the cost of changing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diag.case.model import Case, Grease
from diag.compute import usual_temperature
from diag.errors import InputError
from diag.findings import Findings, Requirement
from diag.knowledgebase import Knowledge
from diag.remedy.compatibility import judge, must_strip
from diag.remedy.requirement import StatedValue, Verdict, compare, from_grease, unmet
from diag.report.figures import System, value_words
from diag.report.parts.grease import demand
from diag.shelf.claims import beyond_need
from diag.shelf.lexicon import Labels, Lexicon, lexicon
from diag.shelf.model import UNITS, Changing, Result, Sheet, ShelfSheet

__all__ = ["in_service_serves", "judge_shelf", "usual_of"]


def judge_shelf(sheets: Iterable[Sheet], case: Case, found: Findings, knowledge: Knowledge,
                system: System = "metric") -> tuple[ShelfSheet, ...]:
    """Every sheet judged, the best first: fewest musts it falls short of, then fit minus the cost of changing.

    `found` is the review of `case`; what is stated and wanted is worded in the units of `system`.
    """
    words, usual = lexicon(knowledge), usual_of(case, found)
    judged = [_judged(sheet, case.grease, found.spec.requirements, usual, words, knowledge, system)
              for sheet in sheets]
    return tuple(sorted(judged, key=lambda s: (_failing(s), -(s.fit - s.changing.cost))))


def usual_of(case: Case, found: Findings) -> float | None:
    """The temperature that the specification is sized at [°C]."""
    computed, circumstances = {c.id: c for c in found.computed}, {c.id: c for c in found.circumstances}
    return usual_temperature(case, computed, circumstances)[0]


def in_service_serves(case: Case, found: Findings, knowledge: Knowledge) -> bool:
    """The grease in service is known to meet every must, so that it stays."""
    stated = _with_running(_all_of(case.grease), usual_of(case, found), knowledge)
    return bool(stated) and not unmet(found.spec.requirements, stated)


def _usual_index(knowledge: Knowledge) -> float:
    """Viscosity index taken where a sheet states none [-]."""
    return float(knowledge.standard("specification")["assumed_viscosity_index"]["value"])


def _all_of(grease: Grease) -> dict[str, StatedValue]:
    more = {"viscosity_100": grease.viscosity_100, "viscosity_index": grease.viscosity_index}
    return {**from_grease(grease), **{p: v for p, v in more.items() if v is not None}}


def _failing(sheet: ShelfSheet) -> int:
    return sum(r.verdict == "falls_short" and r.strength == "must" for r in sheet.results)


def _judged(sheet: Sheet, old: Grease, requirements: tuple[Requirement, ...], usual: float | None, words: Lexicon,
            knowledge: Knowledge, system: System) -> ShelfSheet:
    stated = _with_running(sheet.stated, usual, knowledge)
    asked = [r for r in requirements if r.relation != "ignore"]
    pairs = [(r, compare(r, stated)) for r in asked]
    results = tuple(_result(r, verdict, stated, sheet, words.labels, system) for r, verdict in pairs)
    return ShelfSheet(sheet=sheet.name, meets=not unmet(requirements, stated), results=results,
                      understood=sheet.understood,
                      claims=(*sheet.claims,
                              *beyond_need(asked, sheet.stated, sheet.understood, words.labels, knowledge)),
                      fit=_fit(pairs, words.labels), changing=_changing(old, sheet.grease, words.labels, knowledge))


def _result(wanted: Requirement, verdict: Verdict, stated: Mapping[str, StatedValue], sheet: Sheet, labels: Labels,
            system: System) -> Result:
    value = stated.get(wanted.property)
    ask = None
    if verdict == "not_stated":
        ask = sheet.questions.get(wanted.property, labels.asks[wanted.property])
    return Result(property=wanted.property, verdict=verdict,
                  stated=None if value is None else value_words(value, UNITS.get(wanted.property, ""), system),
                  wanted=demand(wanted, system).partition(": ")[2], ask=ask, strength=wanted.strength)


def _fit(pairs: list[tuple[Requirement, Verdict]], labels: Labels) -> float:
    """Share of the demands met, weighed by strength; 1 where nothing is asked."""
    weights = {"must": labels.weights.must, "should": labels.weights.should, "note": 0.0}
    credit = {"meets": 1.0, "not_stated": labels.weights.not_stated, "falls_short": 0.0}
    total = sum(weights[r.strength] for r, _ in pairs)
    return sum(weights[r.strength] * credit[verdict] for r, verdict in pairs) / total if total else 1.0


def _changing(old: Grease, new: Grease, labels: Labels, knowledge: Knowledge) -> Changing:
    """The verdict of the charts and what the work costs on the scale of fit."""
    verdict, strip = judge(old, new, knowledge).verdict, must_strip(old, new, knowledge)
    costs = {"same": labels.changing.same, "compatible": labels.changing.compatible,
             "borderline": labels.changing.borderline}
    cost = labels.changing.strip if strip else costs.get(verdict, labels.changing.strip)
    return Changing(compatibility=verdict, strip=strip, cost=cost)


def _with_running(stated: Mapping[str, StatedValue], usual: float | None, knowledge: Knowledge
                  ) -> dict[str, StatedValue]:
    """With the oil's viscosity at the usual temperature [°C], where the sheet allows to work it out."""
    v40, v100 = stated.get("viscosity_40"), stated.get("viscosity_100")
    if usual is None or v40 is None:
        return dict(stated)
    index = stated.get("viscosity_index")
    index = index if isinstance(index, float) else _usual_index(knowledge)
    thick = tuple(v for v in (v40 if isinstance(v40, tuple) else (v40,)) if isinstance(v, int | float))
    try:
        values = tuple(_at(usual, float(v), v100 if len(thick) == 1 else None, index) for v in thick)
    except InputError:
        return dict(stated)  # beyond what the formula covers: the supplier has to say
    return {**stated, "viscosity_at_running": values[0] if len(values) == 1 else values}


def _at(temperature: float, v40: float, v100: StatedValue | None, index: float) -> float:
    """Viscosity [mm²/s] by ASTM D341 through both stated viscosities, else by the index (ASTM D2270)."""
    from diag.tribology.viscosity import viscosity_at  # numpy, and only where an oil is stated
    from diag.tribology.viscosity_index import v100_from_index

    hot = v100 if isinstance(v100, float) and v100 < v40 else float(v100_from_index(v40, index))
    return float(f"{float(viscosity_at(temperature, v40, hot)):.3g}")
