"""The shape of the knowledge files: frozen structures, checked on load, unknown keys refused.

Ids are permanent. Every likelihood is a word of `words.yaml`, or a number that names its source.
Each fact carries `source` (ids of `sources.yaml`; `practice` = common practice, `memory` = from memory) and
`confidence` (verified | cross-checked | common-practice | from-memory | judgement).
"""

from __future__ import annotations

from typing import Literal

import msgspec

__all__ = [
    "Cause",
    "Caution",
    "Circumstance",
    "CircumstanceEffect",
    "Condition",
    "Confidence",
    "Confirmation",
    "Effect",
    "Fact",
    "Inseparable",
    "Kind",
    "Link",
    "LookAlike",
    "Need",
    "Option",
    "Picture",
    "Purge",
    "Question",
    "Reading",
    "ReadingSign",
    "Remedy",
    "RemedyClass",
    "RequirementRule",
    "Source",
    "Stage",
    "Words",
]

Confidence = Literal["verified", "cross-checked", "common-practice", "from-memory", "judgement"]
Kind = Literal["rolling_bearing", "pin_bushing", "slideway"]
Stage = Literal["running", "stopped", "opened", "cleaned", "lab"]
ALL_KINDS: tuple[Kind, ...] = ("rolling_bearing", "pin_bushing", "slideway")


class Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Base of all knowledge structures."""


class Source(Record, kw_only=True, frozen=True):
    """A published source by title; `practice` and `memory` are two of them."""

    title: str
    publisher: str = ""
    year: int | None = None
    seen: str = ""  # how much of it was read: yes, opening, scope, no
    note: str = ""


class Words(Record, kw_only=True, frozen=True):
    """The few level words and their numbers (judgement); see words.yaml."""

    chance: dict[str, float]  # usual, common, occasional, rare: P(effect | this cause alone)
    leak: dict[str, float]  # P(condition | none of the listed causes)
    report: dict[str, float]  # P(reported yes | condition)
    false_report: dict[str, float]  # P(reported yes | not condition)
    base_rate: dict[str, float]  # P(cause of itself | help was asked for)
    strength: dict[str, float]  # odds factor of a circumstance
    soft_odds: float  # probably : probably_not, e.g. 4
    trust: float = 1.0  # power to which the odds of every report are raised, over 0 to 1 (1: taken at its word)


class Effect(Record, kw_only=True, frozen=True):
    """The cause, alone, brings the condition about with this chance."""

    condition: str
    chance: str
    kinds: tuple[Kind, ...] = ALL_KINDS
    source: tuple[str, ...]
    confidence: Confidence
    note: str = ""


class Link(Record, kw_only=True, frozen=True):
    """The cause, alone, brings another cause about with this chance."""

    cause: str
    chance: str
    kinds: tuple[Kind, ...] = ALL_KINDS
    how: str
    source: tuple[str, ...]
    confidence: Confidence


class CircumstanceEffect(Record, kw_only=True, frozen=True):
    """Odds of the cause when the circumstance holds, and when it does not (`if_not`).

    Of several with one `topic` only the one furthest from 1 counts.
    """

    fact: str
    holds: str  # strength word
    if_not: str = "neutral"
    topic: str = ""  # defaults to the fact's own id
    why: str = ""
    source: tuple[str, ...]
    confidence: Confidence


class Need(Record, kw_only=True, frozen=True):
    """The cause is impossible when the circumstance is known to be `be`'s contrary."""

    fact: str
    be: bool = True
    why: str


class LookAlike(Record, kw_only=True, frozen=True):
    cause: str
    how: str  # what separates the two
    source: tuple[str, ...]
    confidence: Confidence


class Confirmation(Record, kw_only=True, frozen=True):
    """A test that would settle it. On a sealed point nothing is opened for it, on the bench nothing runs."""

    test: str
    criterion: str
    stage: Stage
    kinds: tuple[Kind, ...] = ALL_KINDS
    needs: tuple[Need, ...] = ()  # named only where these circumstances are not known to fail
    desk: bool = False  # had from papers, wherever the part lies
    source: tuple[str, ...]
    confidence: Confidence


class Fact(Record, kw_only=True, frozen=True):
    text: str
    source: tuple[str, ...]
    confidence: Confidence


class Purge(Record, kw_only=True, frozen=True):
    action: Literal["keep", "purge", "strip"]  # what becomes of the grease that is in there
    advice: str
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "common-practice"


class RequirementRule(Record, kw_only=True, frozen=True):
    """What the specification asks for once this cause is likely. Value words as in the contract."""

    property: str
    relation: Literal["in", "min", "max", "range", "is", "avoid", "ignore"]
    value: float | str | tuple[float | str, ...] | None = None
    unit: str = ""
    strength: Literal["must", "should", "note"]
    because: str
    kinds: tuple[Kind, ...] = ALL_KINDS
    source: tuple[str, ...]
    confidence: Confidence


class Remedy(Record, kw_only=True, frozen=True):
    """`class_` groups causes that are cured by the same work: they need no telling apart."""

    class_: str = msgspec.field(name="class")  # id in remedies.yaml
    grease: tuple[str, ...] = ()  # what to do with the grease
    other: tuple[str, ...] = ()  # what to do that isn't grease
    requires: tuple[RequirementRule, ...] = ()


class RemedyClass(Record, kw_only=True, frozen=True):
    """A kind of work: what it costs in hours (judgement) and which changeover action it leads to."""

    id: str
    text: str
    action: Literal["keep", "adjust_regreasing", "wait_and_watch", "purge_same", "strip_clean_same",
                    "purge_and_switch", "strip_clean_and_switch", "replace_part"]
    not_the_grease: bool  # mechanical, electrical or outside: no grease cures it
    work_h: float  # doing it, in hours of labour (judgement)
    loss_h: float  # leaving it undone when it is needed, same currency (judgement)
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "judgement"


class Cause(Record, kw_only=True, frozen=True):
    id: str
    name: str
    status: Literal["active", "retired"] = "active"
    role: Literal["root", "mechanism", "damage"]
    group: str
    summary: str  # mechanism in two or three sentences of our own
    base_rate: dict[str, str]  # kind -> word; a kind that is missing can't have this cause
    needs: tuple[Need, ...] = ()
    circumstances: tuple[CircumstanceEffect, ...] = ()
    produces: tuple[Effect, ...]
    leads_to: tuple[Link, ...] = ()
    look_alikes: tuple[LookAlike, ...] = ()
    confirm: tuple[Confirmation, ...]
    remedy: Remedy
    purge: Purge
    wrong_if: str  # when this record is wrong
    doubts: tuple[Fact, ...] = ()  # retired or doubtful facts, with the reason


class Condition(Record, kw_only=True, frozen=True):
    """A state that signs speak of. `broad` ones have many causes and get an auxiliary index."""

    id: str
    text: str
    leak: str
    broad: bool = False
    kinds: tuple[Kind, ...] = ALL_KINDS
    bars_keep: tuple[Kind, ...] = ()  # kinds for which the part can't be kept once this is seen
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "judgement"


class Option(Record, kw_only=True, frozen=True):
    """A sign: an answer a technician can give. Exactly one condition each."""

    sign: str
    text: str
    condition: str
    if_true: str  # report word: P(reported | condition)
    if_false: str  # false_report word: P(reported | not condition)
    kinds: tuple[Kind, ...] = ALL_KINDS
    urgency: Literal["stop_now", "stop_soon", "watch"] | None = None
    why_urgent: str = ""
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "judgement"


class Question(Record, kw_only=True, frozen=True):
    id: str
    text: str
    how: str
    why: str
    stage: Stage
    minutes: float
    kinds: tuple[Kind, ...] = ALL_KINDS
    choose: Literal["one", "many"] = "many"
    complaints: tuple[str, ...] = ()  # asked first for these complaints; () = any
    needs: tuple[Need, ...] = ()  # asked only where these circumstances are not known to fail
    intervention: bool = False
    cautions: tuple[str, ...] = ()
    picture: str = ""
    options: tuple[Option, ...]


class ReadingSign(Record, kw_only=True, frozen=True):
    """A number becomes an answer, graded: no up to `no_at`, yes from `yes_at` on (either order)."""

    sign: str
    no_at: float
    yes_at: float
    source: tuple[str, ...]
    confidence: Confidence


class Reading(Record, kw_only=True, frozen=True):
    """A key of `measured` or `lab`: dimension, legal range, and the signs it speaks of."""

    id: str
    where: Literal["measured", "lab"]
    text: str
    dimension: str
    unit: str  # canonical unit shown
    least: float | None = None
    most: float | None = None
    gives: tuple[ReadingSign, ...] = ()
    note: str = ""


class Circumstance(Record, kw_only=True, frozen=True):
    """A named fact: `path` is a key path of the case or a computed id; or `function` names a Python function.

    Exactly one of below, above, is_, in_ applies to a path; None of the value = not known.
    """

    id: str
    text: str
    path: str = ""
    below: float | None = None
    above: float | None = None
    is_: str | bool | None = msgspec.field(name="is", default=None)
    in_: tuple[str, ...] = msgspec.field(name="in", default=())
    has: str = ""  # for lists: the word is in the list
    function: str = ""
    estimated: bool = False  # rests on estimated physics: no factor over 2
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "judgement"


class Picture(Record, kw_only=True, frozen=True):
    """A drawing to answer by: its name, what is to be seen on it, and the signs it shows (none: for comparison)."""

    id: str
    title: str
    text: str
    signs: tuple[str, ...]
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "common-practice"


class Inseparable(Record, kw_only=True, frozen=True):
    """Two causes with different remedies that no look in the field tells apart, and what settles it instead."""

    id: str
    causes: tuple[str, str]
    settled_by: Literal["laboratory", "common_remedy", "time"]
    how: str
    source: tuple[str, ...]
    confidence: Confidence


class Caution(Record, kw_only=True, frozen=True):
    id: str
    text: str
    before: tuple[str, ...]  # step tags it stands before
    source: tuple[str, ...]
    confidence: Confidence
