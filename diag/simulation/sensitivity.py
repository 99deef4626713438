"""How far the answers hang on single level words: each moved by one step, alone, by table and all together."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from diag.answers import collect
from diag.case import from_data
from diag.circumstances import establish
from diag.compute import compute
from diag.heat_sign import graded
from diag.inference import prior
from diag.inference.network import compiled
from diag.inference.presence import Presence
from diag.knowledgebase.model import ALL_KINDS
from diag.remedy import changeover, regreasing, specification
from diag.review import leading
from diag.simulation.technicians import FIELD, cases_of
from diag.simulation.worlds import bent
from diag.urgency import judge

if TYPE_CHECKING:
    from collections.abc import Mapping

    from diag.case.model import Case
    from diag.findings import CircumstanceFound, Computed, Regrease
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Words

__all__ = ["Changed", "Hanging", "Sensitivity", "drawn_cases", "sensitivity", "variants"]

# How sure a report may be and how rare a false one (slips are always there), as in words.yaml.
_MOST_REPORT, _LEAST_FALSE = 0.95, 0.02
_SOFT_STEP = 2.0
_TRUST_STEP = 0.1
_DICE = 8  # times all words are moved at once, each up or down by lot
_LOOKS = 8  # looks answered at a drawn point
# Strength words in rising order, each with its contrary, which moves with it.
_FOR = (("slightly_for", "slightly_against"), ("for", "against"), ("strongly_for", "strongly_against"),
        ("overwhelming", "rules_strongly_against"))
_TABLES = ("chance", "leak", "report", "false_report", "base_rate")

Decision = tuple[str, str | None, str]  # urgency level, leading cause, changeover action
Move = tuple[str, str, int]  # table, word, +1 or −1


@dataclass(frozen=True, slots=True)
class Changed:
    """One knob: share of the cases [0 to 1] in which it changed something."""

    knob: str
    urgency: float
    cause: float
    action: float

    @property
    def any(self) -> float:
        """For an order of knobs: what a technician would do otherwise, then what he would think."""
        return self.action + self.cause + self.urgency


@dataclass(frozen=True, slots=True)
class Hanging:
    """One case and the share of single knobs that change its leading cause or its action."""

    case: str
    share: float


@dataclass(frozen=True, slots=True)
class Sensitivity:
    cases: int
    single: tuple[Changed, ...]  # each word alone, worst first
    together: tuple[Changed, ...]  # whole tables, and all words at once by lot
    mean_single: Changed
    hanging: tuple[Hanging, ...]  # cases that single words change, most first


@dataclass(frozen=True)
class _Prepared:
    """What of a case doesn't depend on level words."""

    name: str
    case: Case
    computed: Mapping[str, Computed]
    circumstances: Mapping[str, CircumstanceFound]
    plan: Regrease


def sensitivity(cases: Mapping[str, Case], knowledge: Knowledge, progress: Callable[[int, int], None] | None = None
                ) -> Sensitivity:
    """Decide every case once as the knowledge stands and once per knob. Cost: some 8 ms a case and knob."""
    prepared = [_prepare(name, case, knowledge) for name, case in cases.items()]
    before = [_decide(p, knowledge) for p in prepared]
    knobs = list(variants(knowledge))
    rows = []
    for done, (_, _, variant) in enumerate(knobs, start=1):
        rows.append([tuple(a != b for a, b in zip(old, _decide(p, variant), strict=True))
                     for p, old in zip(prepared, before, strict=True)])
        if progress:
            progress(done, len(knobs))
    changed = np.array(rows, dtype=bool).reshape(len(knobs), len(prepared), 3)
    return _summed(knobs, changed, list(cases))


def variants(knowledge: Knowledge) -> Iterator[tuple[str, bool, Knowledge]]:
    """Name, whether one word alone is moved, and the knowledge with it moved by one step.

    A step goes to the number of the next word of the same table. The last word of a table goes as far beyond as
    its neighbour is away, in log-odds (chances) or ratio (strengths), as far as its bounds allow.
    """
    moves = [move for move in _moves(knowledge.words) if _words(knowledge.words, [move]) != knowledge.words]
    for move in moves:
        yield _told(move), True, _with(knowledge, [move])
    for table, way in ((table, way) for table in (*_TABLES, "strength") for way in (1, -1)):
        whole = [m for m in moves if m[0] == table and m[2] == way]
        yield f"all {table} words {_way(way)}", False, _with(knowledge, whole)
    random = np.random.default_rng(0)
    words = list(dict.fromkeys(m[:2] for m in moves))
    for throw in range(_DICE):
        by_lot = [(*word, int(random.choice([-1, 1]))) for word in words]
        yield f"all words by lot, throw {throw + 1}", False, _with(knowledge, by_lot)


def drawn_cases(knowledge: Knowledge, cases: int, seed: int = 0) -> dict[str, Case]:
    """Cases from bent worlds with eight looks answered, over the kinds of point in turn."""
    random = np.random.default_rng(seed)
    found = {}
    for n in range(cases):
        kind = ALL_KINDS[n % len(ALL_KINDS)]
        drawn = cases_of(bent(knowledge, kind, random), 1, FIELD, random)[0]
        looks = [q for q in drawn.replies if knowledge.questions[q].stage not in ("cleaned", "lab")]
        seen = {s: degree for q in random.choice(looks, min(_LOOKS, len(looks)), replace=False)
                for s, degree in drawn.replies[q].items()}
        data = {"point": {"kind": kind}, "seen": seen} | ({"complaint": drawn.complaint} if drawn.complaint else {})
        found[f"drawn {n + 1}"] = from_data(data, f"drawn {n + 1}", knowledge)
    return found


# -- one decision --------------------------------------------------------------------------------------------


def _prepare(name: str, case: Case, knowledge: Knowledge) -> _Prepared:
    computed, _ = compute(case, knowledge)
    circumstances = establish(case, computed, knowledge)
    return _Prepared(name, case, computed, circumstances, regreasing.plan(case, computed, circumstances, knowledge))


def _decide(prepared: _Prepared, knowledge: Knowledge) -> Decision:
    """What `review` would say, without the explanations."""
    case, computed, circumstances = prepared.case, dict(prepared.computed), dict(prepared.circumstances)
    answers = collect(case, knowledge)
    urgency = judge(case, answers, circumstances, computed, knowledge)
    answers = graded(answers, circumstances, knowledge)
    network, pairs = compiled(knowledge, case.point.kind), answers.pairs(knowledge, case.point.kind)
    rates, _ = prior.rates(knowledge, case.point.kind, circumstances)
    posterior = network.posterior(rates, pairs)
    spec, _, _ = specification.specify(case, computed, circumstances, posterior, knowledge)
    change = changeover.decide(case, spec, computed, circumstances, answers, posterior, urgency, prepared.plan,
                               knowledge, belief=Presence(network, rates, pairs))
    return urgency.level, leading(posterior), change.action


def _summed(knobs: Sequence[tuple[str, bool, Knowledge]], changed: np.ndarray, names: Sequence[str]) -> Sensitivity:
    told = [Changed(name, *(float(share) for share in rows.mean(axis=0)))
            for (name, _, _), rows in zip(knobs, changed, strict=True)]
    alone = np.array([single for _, single, _ in knobs])
    single = [c for c, one in zip(told, alone, strict=True) if one]
    shares = changed[alone][:, :, 1:].any(axis=2).mean(axis=0)
    hanging = [Hanging(name, float(share)) for name, share in zip(names, shares, strict=True) if share > 0]
    mean = Changed("mean of the single words", *(float(x) for x in changed[alone].mean(axis=(0, 1))))
    return Sensitivity(
        len(names), tuple(sorted(single, key=lambda c: -c.any)),
        tuple(c for c, one in zip(told, alone, strict=True) if not one), mean,
        tuple(sorted(hanging, key=lambda h: -h.share)))


# -- moving words --------------------------------------------------------------------------------------------


def _moves(words: Words) -> Iterator[Move]:
    for table in _TABLES:
        yield from ((table, word, way) for word in getattr(words, table) for way in (1, -1))
    yield from (("strength", positive, way) for positive, _ in _FOR for way in (1, -1))
    yield from ((number, number, way) for number in ("soft_odds", "trust") for way in (1, -1))


def _with(knowledge: Knowledge, moves: Sequence[Move]) -> Knowledge:
    """The knowledge with these words moved; another fingerprint, since its networks are others."""
    name = "+".join(f"{table}.{word}{way:+d}" for table, word, way in moves)
    return replace(knowledge, words=_words(knowledge.words, moves), fingerprint=f"{knowledge.fingerprint}/{name}")


def _words(words: Words, moves: Sequence[Move]) -> Words:
    """Every step is taken from the words as they stand, so that the order of the moves doesn't matter."""
    tables = {table: dict(getattr(words, table)) for table in (*_TABLES, "strength")}
    soft, trust = words.soft_odds, words.trust
    for table, word, way in moves:
        if table == "soft_odds":
            soft = words.soft_odds * _SOFT_STEP**way
        elif table == "trust":
            trust = min(1.0, words.trust + way * _TRUST_STEP)
        elif table == "strength":
            tables[table].update(_stronger(words, word, way))
        else:
            tables[table][word] = _bounded(table, _stepped(getattr(words, table), word, way))
    return msgspec.structs.replace(words, **tables, soft_odds=soft, trust=trust)


def _stepped(table: Mapping[str, float], word: str, way: int) -> float:
    """The number of the next word up or down, in log-odds beyond the ends."""
    levels = sorted(table.values())
    at = levels.index(table[word])
    if 0 <= at + way < len(levels):
        return levels[at + way]
    away = _logit(levels[at]) - _logit(levels[at - way])
    return 1 / (1 + math.exp(-(_logit(levels[at]) + away)))


def _stronger(words: Words, word: str, way: int) -> dict[str, float]:
    """A pair of strength words, the next factor up or down, the contrary in the same ratio; below is neutral."""
    levels = [1.0, *(words.strength[positive] for positive, _ in _FOR)]
    at = levels.index(words.strength[word]) + way
    factor = levels[at] if at < len(levels) else levels[-1] ** 2 / levels[-2]
    contrary = dict(_FOR)[word]
    return {word: factor, contrary: words.strength[contrary] * words.strength[word] / factor}


def _bounded(table: str, value: float) -> float:
    if table == "report":
        return min(_MOST_REPORT, value)
    return max(_LEAST_FALSE, value) if table == "false_report" else value


def _logit(p: float) -> float:
    return math.log(p / (1 - p))


def _told(move: Move) -> str:
    table, word, way = move
    return f"{table} {_way(way)}" if table == word else f"{table}: {word} {_way(way)}"


def _way(way: int) -> str:
    return "one step up" if way > 0 else "one step down"
