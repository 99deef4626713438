"""Small stand-ins for what a review hands to the changeover: only what a test says is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag import knowledgebase
from diag.case.model import Case
from diag.findings import Changeover, CircumstanceFound, Computed, Regrease, Requirement, Spec, StopIf, Urgency
from diag.remedy.changeover import decide

K = knowledgebase.load()


@dataclass(frozen=True)
class Answer:
    weight: float | None


@dataclass(frozen=True)
class Answers:
    by_sign: Mapping[str, Answer] = field(default_factory=dict)


@dataclass(frozen=True)
class Posterior:
    causes: Mapping[str, float] = field(default_factory=dict)
    conditions: Mapping[str, float] = field(default_factory=dict)


def must(property: str, relation: str, value: object) -> Requirement:
    return Requirement(property=property, relation=relation, value=value, unit="", strength="must",  # type: ignore[arg-type]
                       because=("test",), source="test")


def urgency(level: str = "run_on") -> Urgency:
    stop = StopIf(reading="running_temperature", limit=110, unit="°C", source="test")
    return Urgency(level=level, why=("test",), stop_if=(stop,), look_again_h=None)  # type: ignore[arg-type]


def regrease(interval: float | None = None, amount: float | None = None) -> Regrease:
    return Regrease(grams_per_1000_h=None, amount_g=amount, interval_h=interval, interval_low_h=None,
                    interval_high_h=None, first_fill_g=None, strokes=None, working=())


def changeover(case: Case, *, causes: Mapping[str, float] | None = None,
               conditions: Mapping[str, float] | None = None, signs: Mapping[str, float | None] | None = None,
               circumstances: Mapping[str, bool | None] | None = None, needs: tuple[Requirement, ...] = (),
               level: str = "run_on", plan: Regrease | None = None,
               computed: Mapping[str, Computed] | None = None) -> Changeover:
    """The changeover for a case with these beliefs."""
    found = {name: CircumstanceFound(id=name, holds=holds, value=None, unit="", working="")
             for name, holds in (circumstances or {}).items()}
    spec = Spec(requirements=needs, codes={"din51825": "KP2K-20", "iso6743_9": None})
    return decide(case, spec, computed or {}, found,
                  Answers({s: Answer(w) for s, w in (signs or {}).items()}),
                  Posterior(causes or {}, conditions or {}), urgency(level), plan or regrease(), K)
