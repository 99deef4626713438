"""Small random networks, bare and as real knowledge records, and the brute force that judges them."""

from __future__ import annotations

import itertools
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from diag.answers import Answer, Answers, weight_of
from diag.inference.network import Network, Parents
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import (
    Cause,
    Circumstance,
    CircumstanceEffect,
    Condition,
    Confirmation,
    Effect,
    Link,
    Need,
    Option,
    Purge,
    Question,
    Remedy,
    RemedyClass,
    Words,
)

KIND = "rolling_bearing"
WORDS = Words(
    chance={"usual": 0.8, "common": 0.5, "occasional": 0.2, "rare": 0.05},
    leak={"seldom": 0.01, "now_and_then": 0.04, "often": 0.1},
    report={"plain": 0.9, "likely": 0.75, "half": 0.5},
    false_report={"hardly": 0.02, "slips": 0.05, "easily_mistaken": 0.12},
    base_rate={"leading": 0.12, "regular": 0.05, "scarce": 0.015},
    strength={"neutral": 1.0, "slightly_for": 1.5, "for": 3.0, "strongly_for": 6.0, "against": 1 / 3,
              "strongly_against": 1 / 6},
    soft_odds=4.0,
)


def random_network(seed: int, causes: int = 6, conditions: int = 6, links: int = 4, broad: int = 1,
                   reach: int = 3) -> Network:
    """A network with random chances; the first `broad` conditions have half of all causes or more."""
    r = random.Random(seed)
    parents: list[list[int]] = [[] for _ in range(causes)]
    possible = list(itertools.combinations(range(causes), 2))
    for a, b in r.sample(possible, min(links, len(possible))):
        parents[b].append(a)

    def parent(of: list[int], leak: float = 0.0, wide: bool = False) -> Parents:
        return Parents(tuple(of), tuple(round(1 - r.uniform(0.05, 0.95), 3) for _ in of), leak, wide)

    of_conditions = {}
    for k in range(conditions):
        wide, last = k < broad, k == conditions - 1
        count = r.randint(max(1, causes // 2), causes) if wide else r.randint(0 if last else 1, reach)
        chosen = sorted(r.sample(range(causes), min(count, causes)))
        of_conditions[f"k{k}"] = parent(chosen, round(r.uniform(0.02, 0.2), 3), wide)
    return Network(KIND, {f"c{c}": parent(p) for c, p in enumerate(parents)}, of_conditions)


def random_numbers(network: Network, seed: int, rows: int = 1, ruled_out: int = 1) -> tuple[Any, Any]:
    """Rates (rows, n) with some exact zeros, and pairs (rows, m, 2) with some untouched."""
    r = np.random.default_rng(seed)
    rates = r.uniform(0.01, 0.4, (rows, len(network.causes)))
    for row in rates:
        row[r.choice(len(row), ruled_out, replace=False)] = 0.0
    pairs = r.uniform(0.02, 0.98, (rows, len(network.conditions), 2))
    pairs[r.random((rows, len(network.conditions))) < 0.3] = 1.0
    return rates, pairs


@dataclass(frozen=True)
class Truth:
    """What enumeration of all states says; arrays by position, `sets` by present causes."""

    evidence: float
    causes: Any
    conditions: Any
    unproduced: Any
    sets: dict[frozenset[int], float]


def brute_force(network: Network, rates: Sequence[float], pairs: Any) -> Truth:
    """Sum over all 2^n sets of causes, one by one, straight from the definitions."""
    n, m = len(network.causes), len(network.conditions)
    sets: dict[frozenset[int], float] = {}
    causes, conditions, unproduced = np.zeros(n), np.zeros(m), np.zeros(m)
    for state in itertools.product((0, 1), repeat=n):
        joint = 1.0
        for c, parents in enumerate(network.parents_of_causes):
            on = 1 - (1 - rates[c]) * _spared(parents, state) if rates[c] > 0 else 0.0
            joint *= on if state[c] else 1 - on
        parts = [_condition(parents, state, pair)
                 for parents, pair in zip(network.parents_of_conditions, pairs, strict=True)]
        joint *= float(np.prod([true + false for true, false, _ in parts]))
        sets[frozenset(c for c in range(n) if state[c])] = joint
        causes += joint * np.array(state)
        conditions += [joint * true / (true + false) for true, false, _ in parts]
        unproduced += [joint * spared / (true + false) for true, false, spared in parts]
    total = sum(sets.values())
    return Truth(total, causes / total, conditions / total, unproduced / total,
                 {s: p / total for s, p in sets.items()})


def _spared(parents: Parents, state: Sequence[int]) -> float:
    spared = 1.0
    for parent, value in zip(parents.causes, parents.spared, strict=True):
        spared *= value if state[parent] else 1.0
    return spared


def _condition(parents: Parents, state: Sequence[int], pair: Sequence[float]) -> tuple[float, float, float]:
    """P(answers, condition), P(answers, not the condition), P(answers, no cause reached the condition)."""
    spared, (if_true, if_false) = _spared(parents, state), pair
    false = (1 - parents.leak) * spared
    unreached = spared * (parents.leak * if_true + (1 - parents.leak) * if_false)
    return (1 - false) * if_true, false * if_false, unreached


# -- knowledge -----------------------------------------------------------------------------------------------

SOURCED: dict[str, Any] = {"source": ("practice",), "confidence": "judgement"}


def effect(condition: str, chance: str = "usual", **more: Any) -> Effect:
    return Effect(condition=condition, chance=chance, **SOURCED, **more)


def link(cause: str, chance: str = "usual", **more: Any) -> Link:
    return Link(cause=cause, chance=chance, how="it does", **SOURCED, **more)


def favours(fact: str, holds: str, if_not: str = "neutral", topic: str = "") -> CircumstanceEffect:
    return CircumstanceEffect(fact=fact, holds=holds, if_not=if_not, topic=topic, **SOURCED)


def cause(name: str, produces: Sequence[Effect], leads_to: Sequence[Link] = (), rate: str = "regular",
          remedy: str = "", circumstances: Sequence[CircumstanceEffect] = (), needs: Sequence[Need] = (),
          kinds: Sequence[str] = (KIND, "pin_bushing")) -> Cause:
    return Cause(
        id=name, name=name.replace("_", " "), role="root", group="g", summary="s",
        base_rate=dict.fromkeys(kinds, rate), produces=tuple(produces), leads_to=tuple(leads_to),
        circumstances=tuple(circumstances), needs=tuple(needs),
        confirm=(Confirmation(test=f"look at {name}", criterion="it is there", stage="stopped", **SOURCED),),
        remedy=Remedy(class_=remedy or f"mend_{name}"), purge=Purge(action="keep", advice="keep it"),
        wrong_if="never")


def option(sign: str, of: str, if_true: str = "plain", if_false: str = "slips", **more: Any) -> Option:
    return Option(sign=sign, text=f"text of {sign}", condition=of, if_true=if_true, if_false=if_false, **more)


def question(name: str, options: Sequence[Option], stage: Any = "running", minutes: float = 1.0, **more: Any
             ) -> Question:
    return Question(id=name, text=f"{name}?", how="look", why="to know", stage=stage, minutes=minutes,
                    options=tuple(options), **more)


def knowledge_of(causes: Sequence[Cause], conditions: Sequence[Condition], questions: Sequence[Question],
                 circumstances: Mapping[str, bool] | None = None, work_h: float = 4.0, loss_h: float = 30.0,
                 fingerprint: str = "") -> Knowledge:
    """Knowledge of these records alone; `circumstances` by id, True for those that rest on estimates."""
    classes = dict.fromkeys(c.remedy.class_ for c in causes)
    hours = {"work_h": work_h, "loss_h": loss_h}
    remedies = {r: RemedyClass(id=r, text=r, action="keep", not_the_grease=False, **hours) for r in classes}
    facts = {f: Circumstance(id=f, text=f"text of {f}", path="point.drain", is_="open", estimated=estimated)
             for f, estimated in (circumstances or {}).items()}
    # Whatever else the knowledge holds (greases, charts, limits) is no matter of the inference.
    nothing: dict[str, Any] = {f.name: {} for f in fields(Knowledge)}
    return Knowledge(**nothing | {
        "words": WORDS, "causes": {c.id: c for c in causes}, "conditions": {c.id: c for c in conditions},
        "questions": {q.id: q for q in questions}, "circumstances": facts, "remedies": remedies,
        "fingerprint": fingerprint or repr((causes, conditions))})


def condition(name: str, leak: str = "now_and_then", broad: bool = False, **more: Any) -> Condition:
    return Condition(id=name, text=f"text of {name}", leak=leak, broad=broad, **more)


def random_knowledge(seed: int, causes: int = 6, conditions: int = 6, signs: int = 3) -> Knowledge:
    """Random causes with links, conditions of which the first is broad, and a question per condition."""
    r = random.Random(seed)
    chances, names = list(WORDS.chance), [f"c{n}" for n in range(causes)]
    states = [condition(f"k{k}", r.choice(list(WORDS.leak)), broad=k == 0) for k in range(conditions)]
    records = []
    for n, name in enumerate(names):
        reach = {s.id for s in r.sample(states[1:], 2)} | ({"k0"} if n % 3 else set())
        later = r.sample(names[n + 1:], min(1, len(names) - n - 1)) if r.random() < 0.6 else []
        records.append(cause(name, [effect(k, r.choice(chances)) for k in sorted(reach)],
                             [link(c, r.choice(chances)) for c in later], r.choice(list(WORDS.base_rate)),
                             remedy=f"class{n % 4}"))
    asked = [question(f"q{k}", [option(f"k{k}s{s}", f"k{k}", r.choice(list(WORDS.report)),
                                       r.choice(list(WORDS.false_report))) for s in range(signs)],
                      r.choice(("running", "stopped", "opened")), r.choice((1.0, 5.0, 15.0)))
             for k in range(conditions)]
    return knowledge_of(records, states, asked, fingerprint=f"random {seed} {causes} {conditions} {signs}")


def answered(knowledge: Knowledge, degrees: Mapping[str, Any]) -> Answers:
    """Answers a person gave, by sign."""
    return Answers({s: Answer(s, weight_of(d, knowledge), d, "said", s) for s, d in degrees.items()})
