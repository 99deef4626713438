"""The one place where what was seen, measured, said or read becomes an answer about a sign.

Each sign has at most one answer, from the best origin that has something to say; where a lesser origin says
the contrary, the person's word stands and the contradiction is put into words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal, cast

from diag.case.model import Case, Degree
from diag.errors import Fault, InputError
from diag.findings import FromText
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import Kind, Reading, ReadingSign
from diag.wordtext import label

__all__ = ["Answer", "Answers", "Origin", "collect", "from_text", "grade", "weight_of"]

Origin = Literal["said", "measured", "complaint", "trend", "text"]

# A person who looked > a reading > what the person came for > a log > words picked out of free text.
PRECEDENCE: tuple[Origin, ...] = ("said", "measured", "complaint", "trend", "text")
CLOSED_STAGES = ("opened", "cleaned")


@dataclass(frozen=True, slots=True)
class Answer:
    """What is held of one sign. `weight` [-] is how far it counts as a yes: 1 yes … 0 no, None unknown."""

    sign: str
    weight: float | None
    degree: Degree
    origin: Origin
    words: str  # what was said or measured, as the reader would recognise it

    @property
    def positive(self) -> bool:
        return self.weight is not None and self.weight > 0.5

    @property
    def negative(self) -> bool:
        return self.weight is not None and self.weight < 0.5


@dataclass(frozen=True)
class Answers:
    """One answer per sign, and the contradictions met on the way."""

    by_sign: Mapping[str, Answer] = field(default_factory=dict)
    conflicts: tuple[str, ...] = ()

    def positive(self, sign: str) -> bool:
        """Answered yes or probably."""
        return sign in self.by_sign and self.by_sign[sign].positive

    def pairs(self, knowledge: Knowledge, kind: Kind, without: frozenset[str] = frozenset()
              ) -> dict[str, tuple[float, float]]:
        """Condition → chance of its answers with and without the condition, each in (0, 1].

        Only signs and conditions of `kind` count; `without` names signs or conditions to leave out.
        """
        found: dict[str, tuple[float, float]] = {}
        for sign, answer in sorted(self.by_sign.items()):
            option = knowledge.signs[sign]
            served = kind in option.kinds and kind in knowledge.conditions[option.condition].kinds
            if answer.weight is None or not served or {sign, option.condition} & without:
                continue
            with_it, without_it = found.get(option.condition, (1.0, 1.0))
            true, false = (soft(answer.weight, chance) for chance in knowledge.reported(option))
            found[option.condition] = (with_it * true, without_it * false)
        return found


def collect(case: Case, knowledge: Knowledge, extra: Iterable[Answer] = ()) -> Answers:
    """All answers of a case; `extra` are those a log or the free text gave.

    Raises InputError for a sign that the knowledge doesn't have.
    """
    given = [*_seen(case, knowledge), *_measured(case, knowledge), *_complaint(case, knowledge), *extra]
    _require_known(given, knowledge)
    given, notes = _only_what_was_looked_at(given, case, knowledge)
    by_sign: dict[str, list[Answer]] = {}
    for answer in given:
        by_sign.setdefault(answer.sign, []).append(answer)
    conflicts = [words for sign, found in by_sign.items() for words in _conflicts(found, knowledge)]
    return Answers({sign: best(found) for sign, found in by_sign.items()}, (*notes, *conflicts))


def best(answers: Iterable[Answer]) -> Answer:
    """The answer that counts: the best origin that knows, and within one origin the surest."""

    def rank(answer: Answer) -> tuple[bool, int, float]:
        sure = 0.0 if answer.weight is None else abs(answer.weight - 0.5)
        return answer.weight is None, PRECEDENCE.index(answer.origin), -sure

    return min(answers, key=rank)


def weight_of(degree: Degree, knowledge: Knowledge) -> float | None:
    """How far a degree counts as a yes [-]; None for unknown."""
    probably = knowledge.words.soft_odds / (1 + knowledge.words.soft_odds)
    weights = {"yes": 1.0, "probably": probably, "unknown": None, "probably_not": 1 - probably, "no": 0.0}
    return weights[degree]


def from_text(read: Iterable[FromText], knowledge: Knowledge) -> Iterator[Answer]:
    """Signs read out of free text, each nearer to unknown than a tick would be: a yes counts as probably."""
    trust = 2 * (weight_of("probably", knowledge) or 0.5) - 1
    for one in read:
        weight = weight_of(cast(Degree, one.degree), knowledge)
        if weight is not None:
            yield Answer(one.sign, 0.5 + trust * (weight - 0.5), cast(Degree, one.degree), "text", f"“{one.words}”")


def grade(value: float, rule: ReadingSign) -> float:
    """How far a reading counts as a yes [-]: 0 at `no_at`, 1 at `yes_at`, a straight line between them."""
    share = (value - rule.no_at) / (rule.yes_at - rule.no_at)
    return min(1.0, max(0.0, share))


def soft(weight: float, chance: float) -> float:
    """Chance of an answer that is a yes with this weight, when a yes has this chance."""
    return weight * chance + (1 - weight) * (1 - chance)


def _seen(case: Case, knowledge: Knowledge) -> Iterator[Answer]:
    for sign, degree in case.seen.items():
        text = knowledge.signs[sign].text if sign in knowledge.signs else sign
        words = f"{text}: {degree.replace('_', ' ')}"
        yield Answer(sign, weight_of(degree, knowledge), degree, "said", words)


def _measured(case: Case, knowledge: Knowledge) -> Iterator[Answer]:
    for where, values in (("measured", _with_rise(case)), ("lab", _with_change(case, knowledge))):
        for reading in knowledge.readings.values():
            if reading.where == where and reading.id in values:
                yield from _of_reading(reading, values[reading.id])


def _with_rise(case: Case) -> Mapping[str, float]:
    """The readings; the rise over its own usual temperature follows from the two temperatures."""
    running, usual = case.point.running_temperature, case.point.usual_temperature
    if "temperature_rise" in case.measured or running is None or usual is None:
        return case.measured
    return {**case.measured, "temperature_rise": running - usual}


def _with_change(case: Case, knowledge: Knowledge) -> Mapping[str, float]:
    """The laboratory's readings; a penetration says softer or stiffer only beside the grade of the new grease."""
    value, grade_new = case.lab.get("penetration"), case.grease.nlgi
    if "penetration_change" in case.lab or value is None or grade_new is None:
        return case.lab
    low, high = knowledge.standard("nlgi")["grades"][grade_new]["penetration"]
    middle = (low + high) / 2
    return {**case.lab, "penetration_change": 100 * (value - middle) / middle}


def _of_reading(reading: Reading, value: float) -> Iterator[Answer]:
    for rule in reading.gives:
        weight = grade(value, rule)
        words = f"{reading.text}: {value:g} {reading.unit}".rstrip()
        yield Answer(rule.sign, weight, _nearest_degree(weight), "measured", words)


def _complaint(case: Case, knowledge: Knowledge) -> Iterator[Answer]:
    for entry in knowledge.complaints:
        if entry.complaint == case.complaint and case.point.kind in entry.kinds:
            weight = weight_of(entry.degree, knowledge)
            words = f"what brings you here: {case.complaint}"
            yield Answer(entry.sign, weight, entry.degree, "complaint", words)


def _nearest_degree(weight: float) -> Degree:
    steps: dict[Degree, float] = {"yes": 1.0, "probably": 0.8, "unknown": 0.5, "probably_not": 0.2, "no": 0.0}
    return min(steps, key=lambda degree: abs(steps[degree] - weight))


def _require_known(given: Iterable[Answer], knowledge: Knowledge) -> None:
    unknown = [answer.sign for answer in given if answer.sign not in knowledge.signs]
    if unknown:
        raise InputError(*(Fault("no such sign; `diag knowledge signs` lists them", key=s) for s in unknown))


def _only_what_was_looked_at(given: list[Answer], case: Case, knowledge: Knowledge
                             ) -> tuple[list[Answer], list[str]]:
    """A closed bearing shows nothing of its inside: a `no` about it is no answer."""
    inside = [a for a in given if a.origin in ("said", "text") and _stage(a.sign, knowledge) in CLOSED_STAGES]
    guessed = [a for a in inside if a.negative]
    if not guessed or not _closed(case) or any(a.positive for a in inside):
        return given, []
    blind = [Answer(a.sign, None, "unknown", a.origin, a.words) if a in guessed else a for a in given]
    signs = ", ".join(a.sign for a in guessed)
    note = f"the bearing is sealed and was not opened: a no about its inside counts as unknown ({signs})"
    return blind, [note]


def _closed(case: Case) -> bool:
    """Sealed for life, and not lying on the bench in pieces."""
    sealed = case.point.feed == "sealed_for_life" or case.point.bearing.sealing == "sealed"
    return sealed and case.complaint != "failed"


def _stage(sign: str, knowledge: Knowledge) -> str:
    return knowledge.questions[knowledge.question_of[sign]].stage


def _conflicts(found: list[Answer], knowledge: Knowledge) -> Iterator[str]:
    """Answers of lesser origin that say the contrary of the one that counts."""
    counts = best(found)
    for other in found:
        if (counts.positive and other.negative) or (counts.negative and other.positive):
            text = knowledge.signs[counts.sign].text
            stands = "your own look counts" if counts.origin == "said" else f"the {_names(counts)} counts"
            yield (f"“{text}” is {_word(counts)} by {_by(counts)}, but {_word(other)} by {_by(other)}: "
                   f"{stands}; look again")


def _word(answer: Answer) -> str:
    return label(answer.degree)


def _names(answer: Answer) -> str:
    return {"measured": "reading", "complaint": "complaint", "trend": "log", "text": "text"}[answer.origin]


def _by(answer: Answer) -> str:
    """`the reading (rise of temperature: 3 K)`"""
    return "your answer" if answer.origin == "said" else f"the {_names(answer)} ({answer.words})"
