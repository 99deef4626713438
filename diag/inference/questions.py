"""Which question is worth asking next, and whether it is settled what to do.

Worth is measured in what would be done, not in probabilities. The remedy classes of the knowledge are decided
one by one: do the work (`work_h`), or leave it and lose `loss_h` if one of its causes is there after all:

    loss of acting now  V = Σ_r min(work_r, p_r · loss_r),   p_r = P(at least one cause of class r | answers)

A question's gain is the fall of V that its answers are expected to bring. p_r is exact: one row per class,
with its causes known to be absent, gives P(class absent, condition) for every condition by one reverse pass,
and hence every answer to every sign. So a gain is never negative, and the cost is one batched pass of 1 +
number of classes rows.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from diag.answers import Answers
from diag.findings import CircumstanceFound, NextOption, NextQuestion

if TYPE_CHECKING:
    from diag.inference.contraction import Table
    from diag.inference.network import Network
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Need, Option, Question, Stage

__all__ = [
    "BEFORE_FOUND", "STAGE_COST", "Outlook", "Ranking", "can_stop", "cost_h", "gain_of_signs", "outlook", "rank",
]

# Hours of labour, and hours the machine stands, per hour spent looking (judgement): while it runs only the
# technician's time; once stopped the machine stands too; opened, a second pair of hands, the risk of dirt and the
# refitting; cleaned, the evidence is gone for good; a laboratory takes little of the technician's time but parcel
# and days of waiting.
STAGE_COST: dict[Stage, tuple[float, float]] = {
    "running": (1.0, 0.0), "stopped": (1.0, 1.0), "opened": (2.0, 2.0), "cleaned": (3.0, 2.0), "lab": (3.0, 0.0)}
_STAGES: tuple[Stage, ...] = tuple(STAGE_COST)

# Share of a smooth uncertainty, Σ_r min(work, loss) · p(1 − p), counted beside V: where no single answer can
# turn a decision, V alone would see no worth in the first of two answers that turn it together. Judgement: over 60
# simulated bearings 0.2 found 58 % first with 14.8 looks, 0.5 62 % with 17.1.
_LOOK_AHEAD = 0.3
# Share of the harm of work left undone that is done before the next look shows that it was needed; the rest is
# prevented, since every review ends with limits to stop at and a time to look again. Judgement: see DEVELOPERS.md
# for what it costs and saves in simulation.
BEFORE_FOUND = 0.25
# Answers to the signs of one condition are enumerated, 2^signs of them: the most telling ones up to this
# many.
_MOST_SIGNS = 6
_QUICK = 5  # minutes
_FRESHLY_GREASED = "hot_after_greasing"  # the circumstance in which no more grease may go in
# Who came with a complaint doesn't go home with nothing: until some cause has this chance, a look is taken from
# this share of its cost on (judgement).
_FOUND, _UNEXPLAINED = 0.3, 0.25
_IRRELEVANT_COMPLAINTS = ("failed", "planning")  # the point isn't turning, so nothing decides whether it may


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the decisions rest on now: chances of conditions, and of each class's absence with each of them.
    """

    conditions: tuple[str, ...]
    classes: tuple[str, ...]
    causes: Mapping[str, float]  # P(present | answers)
    work: Table  # (R,) h
    loss: Table  # (R,) h: the work, and the harm done until the next look shows that it was needed
    true: Table  # (m,) P(condition | answers)
    none: Table  # (R,) P(no cause of class r | answers)
    none_true: Table  # (R, m) P(no cause of class r, condition | answers)

    def expected_loss(self, chance: Table, none: Table) -> Table:
        """Loss in h of acting after an outcome, times its `chance` (…,); `none` (…, R) is joint with it."""
        p = chance[..., None]
        with np.errstate(invalid="ignore", divide="ignore"):
            unsure = np.where(p > 0, none * (1 - none / p), 0.0)
        acting = np.minimum(self.work * p, self.loss * (p - none))
        total: Table = (acting + _LOOK_AHEAD * np.minimum(self.work, self.loss) * unsure).sum(axis=-1)
        return total

    @property
    def now(self) -> float:
        """Loss in h of acting now, look-ahead share included."""
        return float(self.expected_loss(np.ones(()), self.none))

    @property
    def knowing(self) -> float:
        """Loss in h of acting when every cause is known: of each class present the lesser of work and loss.
        """
        return float(((1 - self.none) * np.minimum(self.work, self.loss)).sum())

    @property
    def perfect_information(self) -> float:
        """Loss in h that knowing every cause would save, against acting now."""
        return float(np.minimum(self.work, self.loss * (1 - self.none)).sum()) - self.knowing


@dataclass(frozen=True, slots=True)
class Ranking:
    """Open questions, best first; whether more asking no longer pays, and why (one sentence)."""

    questions: tuple[NextQuestion, ...]
    settled: bool
    why: str
    now: Outlook
    pressing: bool  # the first one decides whether it may keep turning, or is what the complaint calls for


def rank(network: Network, rates: Mapping[str, float], answers: Answers,
         circumstances: Mapping[str, CircumstanceFound], knowledge: Knowledge, stage: Stage | None = None,
         limit: int = 5, complaint: str | None = None, asked: Collection[str] = (), may_intervene: bool = True,
         standing: float = 1.0) -> Ranking:
    """The `limit` best open questions.

    Open: of this kind, not later than `stage` (None: any), not in `asked`, with signs nobody has answered, none
    of its needed circumstances known to fail; one that intervenes only if `may_intervene` and never answered; one
    that puts grease in, at a hot point, only once it is known that it wasn't greased within a day.

    Order: at the start those for the `complaint`; then those worth more than they cost (a share of it while a
    complaint has no cause yet), at the earliest stage, by worth. `worth` = expected gain ÷ cost, both in hours,
    cost = minutes / 60 × STAGE_COST (at a stage where somebody has looked already, at most that of `stopped`).

    Settled when acting now loses less, against knowing everything, than the cheapest open question costs, or
    none is worth its cost; but not while a question that could stop the machine stands unanswered.
    """
    now = outlook(network, rates, answers, knowledge)
    open_signs = {
        q.id: signs for q in knowledge.questions.values()
        if (signs := _open_signs(q, network, answers, asked))
        and _reachable(q, stage) and _allowed(q, circumstances, answers, may_intervene, complaint)}
    reached = _reached(answers, knowledge)
    costs = {q: cost_h(knowledge.questions[q], reached, standing) for q in open_signs}
    worth = {q: _gain(knowledge.questions[q], signs, now, knowledge) / costs[q]
             for q, signs in open_signs.items()}
    least = _least_worth(now, complaint)
    settled, why = _settled(now, costs, worth, least)
    urgent = _urgent(knowledge, open_signs, answers, complaint) if settled else []
    if urgent:
        settled, why = False, f"Whether it may keep turning is open: {knowledge.questions[urgent[0]].text}"
    start = complaint is not None and all(a.origin == "complaint" for a in answers.by_sign.values())

    def order(question: str) -> tuple[bool, bool, bool, int, float]:
        record = knowledge.questions[question]
        return (question not in urgent, not (start and complaint in record.complaints), worth[question] < least,
                _STAGES.index(record.stage), -worth[question])

    best = sorted(open_signs, key=order)[:limit]
    told = tuple(_told(knowledge.questions[q], open_signs[q], worth[q]) for q in best)
    first = best[0] if best and not settled else ""
    pressing = first in urgent or bool(first and start and complaint in knowledge.questions[first].complaints)
    return Ranking(told, settled, why, now, pressing)


def outlook(network: Network, rates: Mapping[str, float], answers: Answers, knowledge: Knowledge) -> Outlook:
    """One batched pass: the case as it stands, and once per remedy class with its causes known to be absent.
    """
    class_of = [knowledge.causes[c].remedy.class_ for c in network.causes]
    classes = [knowledge.remedies[r] for r in dict.fromkeys(class_of)]
    absent = np.zeros((1 + len(classes), len(network.causes)), dtype=bool)
    for row, remedy in enumerate(classes, start=1):
        absent[row] = [c == remedy.id for c in class_of]
    pairs = network.pair_row(answers.pairs(knowledge, network.kind))
    found = network.sweep(network.rate_row(rates), pairs, absent)
    none = np.exp(found.log_evidence[1:] - found.log_evidence[0])
    work, undone = np.array([r.work_h for r in classes]), np.array([r.loss_h for r in classes])
    return Outlook(
        network.conditions, tuple(r.id for r in classes),
        dict(zip(network.causes, found.causes[0].tolist(), strict=True)),
        work, work + BEFORE_FOUND * (undone - work),
        found.conditions[0], np.minimum(1.0, none), none[:, None] * np.nan_to_num(found.conditions[1:]))


def gain_of_signs(now: Outlook, condition: str, signs: Sequence[Option], knowledge: Knowledge) -> float:
    """Expected fall of the loss [h, ≥ 0] when these signs of one condition are all answered yes or no.

    Exact in the answers: given the condition they are independent, so that all 2^n of them are enumerated.
    """
    telling = sorted((knowledge.reported(s) for s in signs), key=lambda t: -abs(t[0] - t[1]))[:_MOST_SIGNS]
    if_true, if_false = np.ones(1), np.ones(1)
    for true, false in telling:
        if_true = np.concatenate([if_true * true, if_true * (1 - true)])
        if_false = np.concatenate([if_false * false, if_false * (1 - false)])
    k = now.conditions.index(condition)
    none_true = now.none_true[:, k]
    chance = if_true * now.true[k] + if_false * (1 - now.true[k])
    none = np.outer(if_true, none_true) + np.outer(if_false, np.maximum(0.0, now.none - none_true))
    return max(0.0, now.now - float(now.expected_loss(chance, none).sum()))


def _open_signs(question: Question, network: Network, answers: Answers, asked: Collection[str]
                ) -> tuple[Option, ...]:
    """Options of this kind of point that nobody has said anything of, not even that it is unknown."""
    if question.id in asked or network.kind not in question.kinds:
        return ()
    return tuple(o for o in question.options if network.kind in o.kinds and o.sign not in answers.by_sign
                 and o.condition in network.conditions)


def _reachable(question: Question, stage: Stage | None) -> bool:
    return stage is None or _STAGES.index(question.stage) <= _STAGES.index(stage)


def _allowed(question: Question, circumstances: Mapping[str, CircumstanceFound], answers: Answers,
             may_intervene: bool, complaint: str | None) -> bool:
    """No need is known to fail; an intervention is allowed and has no answer yet."""
    if question.intervention and not (may_intervene and _untouched(question, answers)):
        return False
    # Who doesn't know when a hot point was greased may not try a shot of grease there.
    return all(_held(need, circumstances) or (_held(need, circumstances) is None
                                              and not (complaint == "hot" and need.fact == _FRESHLY_GREASED))
               for need in question.needs)


def _held(need: Need, circumstances: Mapping[str, CircumstanceFound]) -> bool | None:
    """Whether the point is as the question needs it; None when that isn't known."""
    found = circumstances.get(need.fact)
    return None if found is None or found.holds is None else found.holds is need.be


def _untouched(question: Question, answers: Answers) -> bool:
    return not any(o.sign in answers.by_sign for o in question.options)


def cost_h(question: Question, reached: Stage = "running", standing: float = 1.0) -> float:
    """Hours of labour that asking costs; `standing` is what an hour of the machine costs, in hours of labour.

    What was opened for an earlier look (`reached`) needn't be opened again.
    """
    labour, stop = STAGE_COST[question.stage]
    if question.stage != "lab" and _STAGES.index(question.stage) <= _STAGES.index(reached):
        labour, stop = min((labour, stop), STAGE_COST["stopped"])
    return question.minutes / 60 * (labour + stop * standing)


def _reached(answers: Answers, knowledge: Knowledge) -> Stage:
    """The furthest stage, short of the laboratory, at which somebody has looked."""
    looked = {knowledge.questions[knowledge.question_of[s]].stage for s, a in answers.by_sign.items()
              if a.origin == "said" and a.weight is not None}
    return max((stage for stage in looked if stage != "lab"), key=_STAGES.index, default="running")


def _gain(question: Question, signs: Sequence[Option], now: Outlook, knowledge: Knowledge) -> float:
    """Expected gain [h] of a question.

    Exact where its open options speak of one condition. Over several conditions: the best of them where one
    option is chosen (a lower bound, since only one answer comes); else E · (1 − Π (1 − g / E)) with E the
    most that could be gained at all, which lies between the best and the sum and never exceeds E.
    """
    by_condition: dict[str, list[Option]] = {}
    for option in signs:
        by_condition.setdefault(option.condition, []).append(option)
    gains = np.array([gain_of_signs(now, c, options, knowledge) for c, options in by_condition.items()])
    most = now.now - now.knowing
    if question.choose == "one" or most <= 0:
        return float(gains.max())
    return most * float(1 - np.prod(1 - np.minimum(1.0, gains / most)))


def _least_worth(now: Outlook, complaint: str | None) -> float:
    """Worth from which a look is taken: its cost, or a share of it while a complaint has no cause yet."""
    troubled = complaint is not None and complaint != "planning"
    return _UNEXPLAINED if troubled and max(now.causes.values(), default=0.0) < _FOUND else 1.0


def _settled(now: Outlook, costs: Mapping[str, float], worth: Mapping[str, float], least: float
             ) -> tuple[bool, str]:
    if not costs:
        return True, "Nothing is left to ask."
    at_stake, cheapest = now.perfect_information, min(costs.values())
    if at_stake < cheapest:
        return True, (f"Knowing everything would save {at_stake:.2f} h over acting now, "
                      f"less than the cheapest look costs ({cheapest:.2f} h).")
    if max(worth.values()) < least:
        return True, "No look that is left is expected to save the time it takes."
    return False, f"Acting now is expected to lose {at_stake:.1f} h against knowing everything."


def _urgent(knowledge: Knowledge, open_signs: Mapping[str, Sequence[Option]], answers: Answers,
            complaint: str | None) -> list[str]:
    """Questions never answered of which an answer could mean stop now."""
    if complaint in _IRRELEVANT_COMPLAINTS:
        return []
    return [q for q in open_signs if _untouched(knowledge.questions[q], answers)
            and can_stop(knowledge.questions[q], complaint)]


def can_stop(question: Question, complaint: str | None) -> bool:
    """An answer about the running machine could mean stop now.

    A look of more than a few minutes counts only for a complaint that it is meant for.
    """
    meant = complaint is None or question.minutes <= _QUICK or complaint in question.complaints
    return question.stage == "running" and meant and any(o.urgency == "stop_now" for o in question.options)


def _told(question: Question, signs: Sequence[Option], worth: float) -> NextQuestion:
    return NextQuestion(
        id=question.id, text=question.text, how=question.how, why=question.why, stage=question.stage,
        minutes=question.minutes, worth=worth,
        options=tuple(NextOption(sign=o.sign, text=o.text) for o in signs))
