"""What a review finds: the structures behind `diag review --json`, field for field."""

from __future__ import annotations

from typing import Any, Literal

import msgspec

__all__ = [
    "Because", "CausePart", "Causes", "Caution", "Changeover", "CircumstanceFound", "Compatibility", "Computed",
    "CostPart", "ExpectedCost", "Findings", "Flip", "FromText", "Leftover", "NextOption", "NextQuestion",
    "OneMoreCheck", "Regrease", "Requirement", "Spec", "StopIf", "TableVerdict", "Together", "Urgency",
]

UrgencyLevel = Literal["stop_now", "stop_soon", "watch", "run_on"]
Action = Literal["keep", "adjust_regreasing", "wait_and_watch", "purge_same", "strip_clean_same",
                 "purge_and_switch", "strip_clean_and_switch", "replace_part"]
Verdict = Literal["compatible", "borderline", "incompatible", "unknown", "same"]


class Part(msgspec.Struct, frozen=True):
    """Base of all parts of the findings."""


class StopIf(Part, kw_only=True, frozen=True):
    reading: str
    limit: float
    unit: str
    source: str


class Urgency(Part, kw_only=True, frozen=True):
    level: UrgencyLevel
    why: tuple[str, ...]
    stop_if: tuple[StopIf, ...]
    look_again_h: float | None


class Because(Part, kw_only=True, frozen=True):
    """One sign or condition that spoke for or against: odds with all answers ÷ odds with this one unknown."""

    id: str
    text: str
    factor: float


class CausePart(Part, kw_only=True, frozen=True):
    id: str
    name: str
    role: str
    probability: float
    for_: tuple[Because, ...] = msgspec.field(name="for")
    against: tuple[Because, ...]
    circumstances: tuple[Because, ...]
    confirm: tuple[str, ...]


Causes = tuple[CausePart, ...]


class Together(Part, kw_only=True, frozen=True):
    causes: tuple[str, ...]
    probability: float


class Leftover(Part, kw_only=True, frozen=True):
    sign: str
    probability: float


class CircumstanceFound(Part, kw_only=True, frozen=True):
    id: str
    holds: bool | None
    value: Any
    unit: str
    working: str


class Computed(Part, kw_only=True, frozen=True):
    """A computed number with its working; `low`/`high` are None where no band was drawn."""

    id: str
    value: float | str
    low: float | None
    high: float | None
    unit: str
    working: str
    source: str


class FromText(Part, kw_only=True, frozen=True):
    sign: str
    degree: str
    words: str


class NextOption(Part, kw_only=True, frozen=True):
    sign: str
    text: str


class NextQuestion(Part, kw_only=True, frozen=True):
    id: str
    text: str
    how: str
    why: str
    stage: str
    minutes: float
    worth: float
    options: tuple[NextOption, ...]


class Requirement(Part, kw_only=True, frozen=True):
    """The one requirement type: the manual, a code, the specification, a data sheet and a label all use it."""

    property: str
    relation: Literal["in", "min", "max", "range", "is", "avoid", "ignore"]
    value: float | str | tuple[float | str, ...] | None
    unit: str
    strength: Literal["must", "should", "note"]
    because: tuple[str, ...]
    source: str


class Spec(Part, kw_only=True, frozen=True):
    requirements: tuple[Requirement, ...]
    codes: dict[str, str | None]


class TableVerdict(Part, kw_only=True, frozen=True):
    table: str
    verdict: Verdict
    confidence: str
    words: str


class Compatibility(Part, kw_only=True, frozen=True):
    verdict: Verdict
    tables: tuple[TableVerdict, ...]


class ExpectedCost(Part, kw_only=True, frozen=True):
    action: Action
    cost: float
    low: float
    high: float


class CostPart(Part, kw_only=True, frozen=True):
    """What an expected cost is made of, in money; `cures` is the chance that all is well after the action.

    `material` is grease and part, `risk` what a failure or a second try is expected to cost.
    """

    action: Action
    cures: float
    standstill: float
    labour: float
    material: float
    risk: float


class Flip(Part, kw_only=True, frozen=True):
    """Where `action` becomes the cheapest instead: `variable` is a price of `costs:` or the chance of a cause."""

    variable: str
    text: str
    now: float
    at: float
    side: Literal["above", "below"]
    instead_of: Action
    action: Action


class OneMoreCheck(Part, kw_only=True, frozen=True):
    """Whether the next question is worth its time: money it is expected to save against money it takes."""

    question: str
    text: str
    saves: float
    costs: float
    worth_it: bool


class Changeover(Part, kw_only=True, frozen=True):
    repair_first: bool
    action: Action
    why: tuple[str, ...]
    steps: tuple[str, ...]
    never: tuple[str, ...]
    compatibility: Compatibility
    expected_costs: tuple[ExpectedCost, ...]
    cost_parts: tuple[CostPart, ...] = ()
    cost_basis: tuple[str, ...] = ()  # every price and default in words
    flips: tuple[Flip, ...] = ()
    one_more_check: OneMoreCheck | None = None


class Regrease(Part, kw_only=True, frozen=True):
    grams_per_1000_h: float | None
    amount_g: float | None
    interval_h: float | None
    interval_low_h: float | None
    interval_high_h: float | None
    first_fill_g: float | None
    strokes: float | None
    working: tuple[str, ...]


class Caution(Part, kw_only=True, frozen=True):
    id: str
    text: str
    before: str


class Findings(Part, kw_only=True, frozen=True):
    schema: int
    knowledge: str
    urgency: Urgency
    causes: Causes
    together: tuple[Together, ...]
    neglected: float
    healthy: float
    leftover: tuple[Leftover, ...]
    fit: float
    not_the_grease: bool
    circumstances: tuple[CircumstanceFound, ...]
    computed: tuple[Computed, ...]
    assumed: tuple[str, ...]
    read_from_text: tuple[FromText, ...]
    conflicts: tuple[str, ...]
    manual_differences: tuple[str, ...]
    next_questions: tuple[NextQuestion, ...]
    spec: Spec
    changeover: Changeover
    regrease: Regrease
    cautions: tuple[Caution, ...]
    second_opinion: dict[str, Any] | None
    sources: tuple[str, ...]
