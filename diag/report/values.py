"""Finished values for pages: every number rounded, every sentence chosen. Templates loop and escape, nothing else."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import msgspec

from diag.case import to_text
from diag.case.model import DEGREES, Case
from diag.findings import (
    Because,
    CausePart,
    Caution,
    Changeover,
    CostPart,
    ExpectedCost,
    Findings,
    Requirement,
    Urgency,
)
from diag.knowledgebase import Knowledge
from diag.remedy import cautions, greasing
from diag.report import chart, terminal
from diag.report.figures import System, duration
from diag.report.layout import chance, percent
from diag.report.parts import annex, causes, changeover, decision, grease, regreasing, urgency
from diag.report.worded import worded, worded_knowledge
from diag.wordtext import joined, label

__all__ = ["Card", "Page", "RegreaseCard", "Told", "UrgencyBox", "card", "page", "regrease_card", "told", "urgency_box"]

_HEADLINES = {"stop_now": "Stop it now", "stop_soon": "Stop it today", "watch": "Watch it", "run_on": "May run on"}
_LONGEST = 6000  # characters of a case file that a report shows; the fingerprint covers all of it
_CONFIDENCE = {"from-memory": "recalled from memory: guidance only"}


@dataclass(frozen=True, slots=True)
class UrgencyBox:
    """May it keep turning? `level` is the closed word, for the look of the box only."""

    level: str
    headline: str
    answer: str
    why: tuple[str, ...]
    stop_if: tuple[str, ...]
    look_again: str


@dataclass(frozen=True, slots=True)
class Reason:
    text: str
    weight: str
    bar: str  # <svg>


@dataclass(frozen=True, slots=True)
class CauseEntry:
    name: str
    chance: str
    bar: str  # <svg>
    reasons: tuple[tuple[str, tuple[Reason, ...]], ...]  # heading, findings
    confirm: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Check:
    text: str
    effort: str
    how: str
    why: str


@dataclass(frozen=True, slots=True)
class Demand:
    text: str
    reasons: str
    source: str


@dataclass(frozen=True, slots=True)
class Card:
    """The grease for the counter: what must and should be, without reasons."""

    title: str
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    ignored: str
    codes: str


@dataclass(frozen=True, slots=True)
class Table:
    """What one published table says of the two greases, in words."""

    words: str
    verdict: str
    confidence: str


@dataclass(frozen=True, slots=True)
class DoStep:
    careful: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Cost:
    action: str
    cost: str
    between: str
    cures: str
    parts: tuple[str, ...]  # standstill, labour, goods, risk; () where they aren't known
    chosen: bool


@dataclass(frozen=True, slots=True)
class Decision:
    """What each way is expected to cost, where the choice flips, and whether one more look pays."""

    currency: str
    rows: tuple[Cost, ...]
    flips: tuple[str, ...]
    one_more: str
    basis: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Do:
    repair_first: bool
    action: str
    why: tuple[str, ...]
    verdict: str
    tables: tuple[Table, ...]
    care: tuple[str, ...]
    steps: tuple[DoStep, ...]
    never: tuple[str, ...]
    decision: Decision


@dataclass(frozen=True, slots=True)
class RegreaseCard:
    """How much, how often and how to, apart from any change of grease; `not_now`: what forbids it at this moment."""

    plan: tuple[str, ...]
    not_now: str
    care: tuple[str, ...]
    steps: tuple[DoStep, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What the review was given: looks by degree, the own words, the whole case file (cut where it is very long)."""

    seen: tuple[tuple[str, tuple[str, ...]], ...]  # degree, signs
    said: str
    case_file: str


@dataclass(frozen=True, slots=True)
class Working:
    name: str
    value: str
    working: str
    source: str


@dataclass(frozen=True, slots=True)
class Page:
    """A whole review, ready to be laid out."""

    title: str
    where: str
    urgency: UrgencyBox
    keep: tuple[str, ...]
    not_the_grease: str
    healthy: str
    causes: tuple[CauseEntry, ...]
    less_likely: str
    chances_note: str
    together: tuple[str, ...]
    unexplained: tuple[str, ...]
    poor_fit: str
    conflicts: tuple[str, ...]
    checks: tuple[Check, ...]
    demands: tuple[tuple[str, tuple[Demand, ...]], ...]
    manual: tuple[str, ...]
    codes: str
    chart: str  # <svg>, empty when nothing can be drawn
    do: Do
    regreasing: tuple[str, ...]
    regreasing_working: tuple[str, ...]
    read: tuple[str, ...]
    assumed: tuple[str, ...]
    working: tuple[Working, ...]
    circumstances: tuple[Working, ...]
    totals: str
    sources: tuple[str, ...]
    trust: str
    knowledge: str
    fingerprint: str  # of the case


def page(
    found: Findings, case: Case, knowledge: Knowledge, system: System = "metric", candidates: Sequence[chart.Curve] = ()
) -> Page:
    """The findings as values of a page, in the wanted units; `candidates` of the shelf go into the chart."""
    found, knowledge = worded(found, system), worded_knowledge(knowledge, system)
    unexplained, poor_fit = causes.unexplained_words(found, knowledge)
    identity = (case.case.site, case.case.machine, case.case.point)
    return Page(
        title=terminal.title(case),
        where=", ".join(part for part in identity if part) if case.title else "",
        urgency=urgency_box(found.urgency, case, system),
        keep=urgency.KEEP if case.complaint == "failed" else (),
        not_the_grease=causes.not_the_grease_words(found),
        healthy=causes.healthy_words(found),
        causes=tuple(_cause(cause) for cause in causes.told(found)),
        less_likely=causes.others_words(found),
        chances_note=causes.NOTE,
        together=tuple(causes.together_words(found, knowledge)),
        unexplained=tuple(unexplained),
        poor_fit=poor_fit,
        conflicts=found.conflicts,
        checks=tuple(Check(q.text, causes.effort(q), q.how, q.why) for q in causes.open_checks(found)[:3]),
        demands=_demands(found.spec.requirements, system),
        manual=found.manual_differences,
        codes=grease.code_words(found.spec),
        chart=chart.viscosity_chart_of(found, case, knowledge, system, candidates) or "",
        do=_do(found.changeover, found.cautions, case, knowledge),
        regreasing=tuple(regreasing.plan_sentences(found.regrease, system)),
        regreasing_working=found.regrease.working,
        read=tuple(annex.read_words(r, knowledge) for r in found.read_from_text),
        assumed=found.assumed,
        working=tuple(
            Working(label(n.id), annex.number_words(n, system), n.working, n.source) for n in found.computed
        ),
        circumstances=tuple(
            Working(knowledge.circumstances[c.id].text, "yes" if c.holds else "no", c.working, "")
            for c in found.circumstances
            if c.holds is not None
        ),
        totals=annex.totals_words(found),
        sources=found.sources,
        trust=annex.TRUST,
        knowledge=found.knowledge,
        fingerprint=_fingerprint(case),
    )


def urgency_box(found: Urgency, case: Case, system: System = "metric") -> UrgencyBox:
    """The first answer, alone."""
    found = worded(found, system)
    standing = urgency.stands(found, case)
    again = "" if standing or found.look_again_h is None else duration(found.look_again_h)
    return UrgencyBox(
        level="stop_now" if standing else found.level,
        headline="It stays stopped" if case.complaint == "failed" else _HEADLINES[found.level],
        answer=urgency.answer(found, case),
        why=urgency.reasons(found),
        stop_if=() if standing else tuple(urgency.limit(s, system) for s in found.stop_if),
        look_again=f"Look again in {again} at the latest." if again else "",
    )


def card(found: Findings, case: Case, system: System = "metric") -> Card:
    """What the counter needs to hand out the right tube; musts first."""
    wanted = [r for r in found.spec.requirements if r.relation != "ignore"]
    groups = [
        (title.rstrip(":"), tuple(grease.demand(r, system) for r in wanted if r.strength == strength))
        for strength, title in grease.STRENGTHS[:2]
    ]
    ignored = [grease.property_name(r.property, system) for r in found.spec.requirements if r.relation == "ignore"]
    return Card(
        title=terminal.title(case),
        groups=tuple(group for group in groups if group[1]),
        ignored=f"Of no account: {joined(ignored)}." if ignored else "",
        codes=grease.code_words(found.spec),
    )


def regrease_card(found: Findings, case: Case, knowledge: Knowledge, system: System = "metric") -> RegreaseCard:
    """The plan and the next dose step by step; no steps where there is no dose to give, or not now."""
    not_now = greasing.why_not_now(found)
    steps = () if not_now else greasing.steps(case, found, knowledge)
    dose = msgspec.structs.replace(found.changeover, steps=steps)
    care = cautions.collect(case, dose, {c.id: c for c in found.circumstances}, knowledge)
    not_now, steps, care = worded((not_now, steps, care), system)
    return RegreaseCard(
        plan=tuple(regreasing.plan_sentences(found.regrease, system)),
        not_now=not_now,
        care=tuple(c.text for c in care if c.before not in steps),
        steps=_steps(steps, care),
    )


def told(case: Case, knowledge: Knowledge, system: System = "metric") -> Told:
    """What was seen, said and stated; a look nobody answered is left out. The case file keeps the units it is in."""
    knowledge = worded_knowledge(knowledge, system)
    groups = (
        (label(degree).capitalize(), tuple(knowledge.signs[s].text for s, d in case.seen.items() if d == degree))
        for degree in DEGREES
        if degree != "unknown"
    )
    text = to_text(case)
    return Told(
        seen=tuple(group for group in groups if group[1]),
        said=_cut(case.said or "", _LONGEST // 4),
        case_file=_cut(text.rstrip(), _LONGEST),
    )


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[:most]} ... ({len(text) - most:,} more characters)"


def _steps(steps: Sequence[str], care: Sequence[Caution]) -> tuple[DoStep, ...]:
    """Each step behind the cautions that name it."""
    return tuple(DoStep(tuple(c.text for c in care if c.before == step), step) for step in steps)


def _fingerprint(case: Case) -> str:
    """Of the case as its file would hold it: the same answers give the same one."""
    return hashlib.sha256(to_text(case).encode()).hexdigest()[:12]


def _cause(cause: CausePart) -> CauseEntry:
    parts = (
        ("For it", cause.for_),
        ("Against it", cause.against),
        ("From the point and its history", cause.circumstances),
    )
    reasons = ((title, _reasons(found)) for title, found in parts)
    return CauseEntry(
        name=cause.name,
        chance=chance(cause.probability),
        bar=chart.chance_bar(cause.probability),
        reasons=tuple((title, found) for title, found in reasons if found),
        confirm=cause.confirm[:2],
    )


def _reasons(found: Sequence[Because]) -> tuple[Reason, ...]:
    return tuple(Reason(r.text, causes.weight(r.factor), chart.evidence_bar(r.factor)) for r in causes.telling(found))


def _demands(
    requirements: Sequence[Requirement], system: System
) -> tuple[tuple[str, tuple[Demand, ...]], ...]:
    groups = (
        (
            title.rstrip(":"),
            tuple(
                Demand(grease.demand(r, system), "; ".join(r.because), r.source)
                for r in requirements
                if r.strength == strength
            ),
        )
        for strength, title in grease.STRENGTHS
    )
    return tuple(group for group in groups if group[1])


def _do(change: Changeover, care: Sequence[Caution], case: Case, knowledge: Knowledge) -> Do:
    met = change.compatibility.verdict != "same" and bool(change.compatibility.tables)
    tables = change.compatibility.tables if met else ()
    return Do(
        repair_first=change.repair_first,
        action=changeover.action_words(change),
        why=change.why,
        verdict=changeover.verdict_words(change.compatibility) if met else "",
        tables=tuple(
            Table(t.words or label(t.table), label(t.verdict), _CONFIDENCE.get(t.confidence, label(t.confidence)))
            for t in tables
        ),
        care=tuple(c.text for c in care if c.before not in change.steps),
        steps=_steps(change.steps, care),
        never=change.never,
        decision=_decision(change, case, knowledge),
    )


def _decision(change: Changeover, case: Case, knowledge: Knowledge) -> Decision:
    parts = {part.action: part for part in change.cost_parts}
    rows = tuple(
        _cost(c, parts.get(c.action), c.action == change.action) for c in change.expected_costs
    )
    return Decision(
        currency=case.costs.currency or "money",
        rows=rows,
        flips=tuple(decision.flip_words(flip, knowledge) for flip in decision.nearest(change)),
        one_more=decision.look_words(change.one_more_check) if change.one_more_check else "",
        basis=change.cost_basis,
    )


def _cost(cost: ExpectedCost, part: CostPart | None, chosen: bool) -> Cost:
    amounts = () if part is None else (part.standstill, part.labour, part.material, part.risk)
    return Cost(
        action=label(cost.action),
        cost=f"{cost.cost:,.0f}",
        between=f"{cost.low:,.0f} to {cost.high:,.0f}",
        cures="" if part is None else percent(part.cures),
        parts=tuple(f"{amount:,.0f}" for amount in amounts),
        chosen=chosen,
    )
