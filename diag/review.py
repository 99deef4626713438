"""The one place where everything meets: a case and the knowledge give the findings.

Pure: no files, clock, screen, database, or randomness without a fixed seed.
"""

from __future__ import annotations

from collections.abc import Mapping

from diag.answers import Answers, collect, from_text
from diag.case.model import Case
from diag.circumstances import establish
from diag.compute import compute
from diag.findings import CausePart, CircumstanceFound, Findings, NextQuestion
from diag.heat_sign import graded
from diag.inference import explain, fit, prior, questions, separation, sets
from diag.inference.network import Network, Posterior, compiled
from diag.inference.presence import Presence, after_answers
from diag.knowledgebase import Knowledge
from diag.remedy import cautions, changeover, regreasing, specification
from diag.remedy.another_look import Look
from diag.remedy.coded import with_codes
from diag.remedy.manual import regreasing_differences
from diag.remedy.situation import LEADS
from diag.urgency import judge
from diag.words import heard

__all__ = ["LEADS", "leading", "review"]


def leading(posterior: Posterior) -> str | None:
    """The likeliest cause, None when none reaches `LEADS`."""
    best = max(posterior.causes, key=lambda c: posterior.causes[c], default=None)
    return best if best is not None and posterior.causes[best] >= LEADS else None


def review(case: Case, knowledge: Knowledge, text: bool = True) -> Findings:
    """Urgency, causes, grease, changeover and plan for one case; `text`: read `said` as well.

    Raises
    ------
    KnowledgeError
        When the knowledge does not serve the case's kind.
    """
    case, read, noted = heard(case, knowledge) if text else (case, (), ())
    coded, by_code = with_codes(case, ep=True)
    computed, assumed = compute(coded, knowledge)
    circumstances = establish(coded, computed, knowledge)
    case = with_codes(case)[0]
    answers = collect(case, knowledge, from_text(read, knowledge))
    urgency = judge(case, answers, circumstances, computed, knowledge)
    answers = graded(answers, circumstances, knowledge)  # after urgency: a model never calms it

    network = compiled(knowledge, case.point.kind)
    rates, effects = prior.rates(knowledge, case.point.kind, circumstances)
    pairs = answers.pairs(knowledge, case.point.kind)
    posterior = network.posterior(rates, pairs)
    causes = explain.causes(network, rates, effects, answers, posterior, knowledge)
    together, neglected, healthy = sets.together(network, rates, pairs, posterior)
    leftover, tail = fit.leftover_and_fit(network, rates, answers, posterior, knowledge)
    ranking = questions.rank(network, rates, answers, circumstances, knowledge, complaint=case.complaint,
                             may_intervene=urgency.level not in ("stop_now", "stop_soon"))

    close = separation.close_call(network, posterior, answers.by_sign, knowledge,
                                  may_turn=urgency.level != "stop_now")
    spec, differences, collisions = specification.specify(case, computed, circumstances, posterior, knowledge)
    plan = regreasing.plan(case, computed, circumstances, knowledge)
    change = changeover.decide(
        case, spec, computed, circumstances, answers, posterior, urgency, plan, knowledge,
        belief=Presence(network, rates, pairs), look=_look(ranking.questions, network, rates, answers, knowledge))
    return Findings(
        schema=1, knowledge=knowledge.fingerprint, urgency=urgency, causes=causes, together=together,
        neglected=neglected, healthy=healthy, leftover=leftover, fit=tail,
        not_the_grease=change.repair_first,
        circumstances=tuple(circumstances.values()), computed=tuple(computed.values()),
        assumed=(*case.assumed, *noted, *by_code, *assumed),
        read_from_text=read, conflicts=(*close, *answers.conflicts, *collisions),
        manual_differences=(*differences, *regreasing_differences(case, plan)),
        next_questions=ranking.questions, spec=spec, changeover=change, regrease=plan,
        cautions=cautions.collect(case, change, circumstances, knowledge), second_opinion=None,
        sources=_sources(causes, circumstances, knowledge, answers))


def _look(ranked: tuple[NextQuestion, ...], network: Network, rates: Mapping[str, float], answers: Answers,
          knowledge: Knowledge) -> Look | None:
    """The best question with the beliefs after its answers, for its worth in money."""
    if not ranked:
        return None
    return Look(ranked[0], after_answers(network, rates, answers, ranked[0], knowledge))


def _sources(causes: tuple[CausePart, ...], circumstances: Mapping[str, CircumstanceFound],
             knowledge: Knowledge, answers: Answers) -> tuple[str, ...]:
    """Titles behind the causes named, the circumstances that hold and the signs answered."""
    ids: dict[str, None] = {}
    for part in causes:
        if part.probability >= LEADS:
            cause = knowledge.causes[part.id]
            cited = [f.source for f in cause.produces] + [f.source for f in cause.confirm]
            ids.update(dict.fromkeys(source for sources in cited for source in sources))
    for found in circumstances.values():
        if found.holds:
            ids.update(dict.fromkeys(knowledge.circumstances[found.id].source))
    for sign in answers.by_sign:
        ids.update(dict.fromkeys(knowledge.signs[sign].source))
    return tuple(_title(knowledge, i) for i in ids if i in knowledge.sources)


def _title(knowledge: Knowledge, source: str) -> str:
    entry = knowledge.sources[source]
    return ", ".join(str(part) for part in (entry.publisher, entry.title, entry.year) if part)
