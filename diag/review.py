"""The one place where everything meets: a case and the knowledge give the findings.

Pure: no files, clock, screen, database, or randomness without a fixed seed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diag.answers import Answers, collect, from_text
from diag.case.model import Case
from diag.circumstances import establish
from diag.compute import compute
from diag.compute.stated_index import contradicted
from diag.errors import InputError
from diag.findings import (
    Because,
    CausePart,
    CircumstanceFound,
    Computed,
    Findings,
    FromText,
    NextQuestion,
    Urgency,
)
from diag.heat_sign import graded
from diag.inference import confirming, explain, fit, policy, prior, questions, separation, sets
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

__all__ = ["LEADS", "Gathered", "gather", "leading", "review", "review_many", "weigh"]


def leading(posterior: Posterior) -> str | None:
    """The likeliest cause, None when none reaches `LEADS`."""
    best = max(posterior.causes, key=lambda c: posterior.causes[c], default=None)
    return best if best is not None and posterior.causes[best] >= LEADS else None


@dataclass(frozen=True, slots=True)
class Gathered:
    """All that is known of a case before its causes are weighed."""

    case: Case
    read: tuple[FromText, ...]  # of `said`
    assumed: tuple[str, ...]
    computed: Mapping[str, Computed]
    circumstances: Mapping[str, CircumstanceFound]
    answers: Answers
    urgency: Urgency
    network: Network
    rates: Mapping[str, float]
    effects: Mapping[str, tuple[Because, ...]]
    pairs: Mapping[str, tuple[float, float]]


def review(case: Case, knowledge: Knowledge, text: bool = True) -> Findings:
    """Urgency, causes, grease, changeover and plan for one case; `text`: read `said` as well.

    Raises
    ------
    InputError
        When the answers can't all be true at once.
    KnowledgeError
        When the knowledge does not serve the case's kind.
    """
    (found,) = review_many([case], knowledge, text)
    if isinstance(found, InputError):
        raise found
    return found


def review_many(cases: Iterable[Case], knowledge: Knowledge, text: bool = True) -> Iterator[Findings | InputError]:
    """What `review` finds or raises for each case, in their order; the causes of all are weighed in one pass.

    Holds what is gathered of all cases at once: give it portions of a long list.
    """
    gathered = [_tried(case, knowledge, text) for case in cases]
    posteriors = iter(weigh([g for g in gathered if isinstance(g, Gathered)]))
    for known in gathered:
        if isinstance(known, InputError):
            yield known
        else:
            found = next(posteriors)
            yield found if isinstance(found, InputError) else _conclude(known, found, knowledge)


def _tried(case: Case, knowledge: Knowledge, text: bool) -> Gathered | InputError:
    try:
        return gather(case, knowledge, text)
    except InputError as fault:
        return fault


def gather(case: Case, knowledge: Knowledge, text: bool = True) -> Gathered:
    """Everything up to the network: numbers, circumstances, answers, urgency, own rates of the causes."""
    case, read, noted = heard(case, knowledge) if text else (case, (), ())
    coded, by_code = with_codes(case, ep=True)
    computed, assumed = compute(coded, knowledge)
    circumstances = establish(coded, computed, knowledge)
    case = with_codes(case)[0]
    answers = collect(case, knowledge, from_text(read, knowledge))
    urgency = judge(case, answers, circumstances, computed, knowledge)
    answers = graded(answers, circumstances, knowledge)  # after urgency: a model never calms it
    rates, effects = prior.rates(knowledge, case.point.kind, circumstances)
    return Gathered(
        case, read, (*case.assumed, *noted, *by_code, *assumed, *prior.experience_words(knowledge)),
        computed, circumstances, answers, urgency,
        compiled(knowledge, case.point.kind), rates, effects, answers.pairs(knowledge, case.point.kind))


def weigh(gathered: Sequence[Gathered]) -> list[Posterior | InputError]:
    """The posterior of each case by one batched pass per kind of point; the fault where answers exclude each other."""
    found: dict[int, Posterior | InputError] = {}
    for network in dict.fromkeys(g.network for g in gathered):
        own = [n for n, g in enumerate(gathered) if g.network is network]
        batch = network.each_posterior([gathered[n].rates for n in own], [gathered[n].pairs for n in own])
        found.update(zip(own, batch, strict=True))
    return [found[n] for n in range(len(gathered))]


def _conclude(known: Gathered, posterior: Posterior, knowledge: Knowledge) -> Findings:
    """Explanation, next question, grease, changeover and plan from what is known and believed."""
    case, answers, circumstances, urgency = known.case, known.answers, known.circumstances, known.urgency
    network, rates, computed = known.network, known.rates, known.computed
    causes = confirming.narrowed(
        explain.causes(network, rates, known.effects, answers, posterior, knowledge), case, circumstances,
        urgency.level != "stop_now", knowledge)
    together, neglected, healthy = sets.together(network, rates, known.pairs, posterior)
    leftover, tail = fit.leftover_and_fit(network, rates, answers, posterior, knowledge)
    ranking = questions.rank(network, rates, answers, circumstances, knowledge, complaint=case.complaint,
                             may_intervene=urgency.level not in ("stop_now", "stop_soon"),
                             standing=policy.standing(case))

    close = separation.close_call(network, posterior, answers.by_sign, knowledge,
                                  may_turn=urgency.level != "stop_now")
    spec, differences, collisions = specification.specify(case, computed, circumstances, posterior, knowledge)
    plan = regreasing.plan(case, computed, circumstances, knowledge)
    change = changeover.decide(
        case, spec, computed, circumstances, answers, posterior, urgency, plan, knowledge,
        belief=Presence(network, rates, known.pairs), look=_look(ranking.questions, network, rates, answers, knowledge))
    return Findings(
        schema=1, knowledge=knowledge.fingerprint, urgency=urgency, causes=causes, together=together,
        neglected=neglected, healthy=healthy, leftover=leftover, fit=tail,
        not_the_grease=change.repair_first,
        circumstances=tuple(circumstances.values()), computed=tuple(computed.values()),
        assumed=known.assumed,
        read_from_text=known.read, conflicts=(*close, *answers.conflicts, *contradicted(case), *collisions),
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
