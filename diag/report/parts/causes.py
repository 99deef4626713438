"""What it likely is, what speaks for and against, what stays unexplained, and what to look at next."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diag.findings import Because, CausePart, Findings, NextQuestion
from diag.knowledgebase import Knowledge
from diag.report.figures import duration
from diag.report.layout import bullets, chance, heading, paragraph, percent
from diag.wordtext import joined, label

__all__ = [
    "NOTE", "SHOWN", "bar", "causes", "chance_bar", "effort", "healthy_words", "next_check", "not_the_grease",
    "not_the_grease_words", "open_checks", "others_words", "telling", "together", "together_words", "told",
    "unexplained", "unexplained_words", "weight",
]

SHOWN = 0.15  # causes from this probability on are told in full
_MOST = 4  # and never more than this many
_TRACE = 0.04  # below it a cause isn't even named
_REASONS = 4  # findings named for and against one cause
_BAR = 8  # marks of the longest bar, a factor of 16 and more
_LEFT = 0.5  # from here on a sign counts as unexplained
_POOR_FIT = 0.05  # usual level of a tail probability

NOTE = (
    "The chances are judgement put into numbers, not counted failures; several causes can hold at "
    "once, so they need not add up to 100 %. The factor after a finding is how far that finding "
    "alone shifts the odds, all else kept. Findings overlap: the factors do not multiply up."
)

# Edges of the factors of a finding, and the word for each band (judgement).
_WEIGHTS = ((8.0, "strongly"), (3.0, "clearly"), (1.5, "somewhat"), (1.0, "slightly"))


def not_the_grease(found: Findings) -> list[str]:
    """Said before anything else is discussed: no grease cures this."""
    words = not_the_grease_words(found)
    return [*heading("It is not the grease"), *paragraph(words)] if words else []


def not_the_grease_words(found: Findings) -> str:
    """Why another grease would not help; empty where it may."""
    if not found.not_the_grease:
        return ""
    name = found.causes[0].name if found.causes else "something else"
    doubtful = bool(found.causes) and found.causes[0].probability < 0.5
    sure = f" That stands at {percent(found.causes[0].probability)} only: make sure of it first." if doubtful else ""
    return (
        f"What leads is mechanical, electrical or from outside: {_lower(name)}.{sure} Another grease would not "
        "cure it, and would hide what happens next. Mend that first; the grease is spoken of below only "
        "as far as it has suffered."
    )


def causes(found: Findings) -> list[str]:
    """The likeliest causes with their reasons; the rest in one line."""
    lines = [*heading("What it likely is"), *paragraph(healthy_words(found))]
    for number, cause in enumerate(told(found), 1):
        lines += _cause(number, cause)
    lines += paragraph(others_words(found))
    return [*lines, "", *paragraph(NOTE)]


def told(found: Findings) -> list[CausePart]:
    """The causes that are told in full, likeliest first; at least one."""
    return [c for c in found.causes[:_MOST] if c.probability >= SHOWN] or list(found.causes[:1])


def healthy_words(found: Findings) -> str:
    """That nothing is wrong, where that is the likelier; not so where something seen has no cause in here."""
    if found.healthy < 0.5:
        return ""
    if any(entry.probability >= _LEFT for entry in found.leftover):
        return (f"None of the causes listed here: {chance(found.healthy)}. That does not mean that the point is "
                "sound: what this does not explain may be outside this knowledge. Look again, and get help.")
    return f"As far as told, nothing is wrong with this point: {chance(found.healthy)}."


def _cause(number: int, cause: CausePart) -> list[str]:
    lines = paragraph(f"{cause.name}: {chance(cause.probability)}.", 0, f"{number}. ")
    lines.append(f"   [{chance_bar(cause.probability)}]")
    lines += _reasons("For it:", cause.for_)
    lines += _reasons("Against it:", cause.against)
    lines += _reasons("From the point and its history:", cause.circumstances)
    if cause.confirm:
        lines += ["   To make sure:", *bullets(cause.confirm[:2], 5)]
    return lines


def _reasons(title: str, reasons: Sequence[Because]) -> list[str]:
    found = telling(reasons)
    if not found:
        return []
    lines = [line for r in found for line in paragraph(f"{r.text} ({weight(r.factor)})", 5, f"{bar(r.factor)} ")]
    return [f"   {title}", *lines]


def bar(factor: float) -> str:
    """How far a finding shifts the odds as a picture: one mark for each factor of √2, at most `_BAR` of them."""
    marks = min(_BAR, max(1, round(2 * math.log2(_far(factor)))))
    return (("+" if factor >= 1 else "-") * marks).ljust(_BAR)


def chance_bar(probability: float) -> str:
    """A probability as a picture, one mark for 5 %."""
    return ("=" * round(20 * probability)).ljust(20, ".")


def telling(reasons: Sequence[Because]) -> list[Because]:
    """The findings worth naming, those that shift the odds most first."""
    found = sorted((r for r in reasons if _far(r.factor) >= 1.05), key=lambda r: -_far(r.factor))
    return found[:_REASONS]


def _far(factor: float) -> float:
    """How far from 1 a factor lies, either way; 0 counts as a million."""
    return max(factor, 1 / factor) if factor > 1e-6 else 1e6


def weight(factor: float) -> str:
    """How far and which way a finding shifts the odds, in a word and a number."""
    far = _far(factor)
    word = next((word for edge, word in _WEIGHTS if far >= edge), "slightly")
    way = "raises" if factor >= 1 else "lowers"
    number = f"×{far:.2g}" if factor >= 1 else f"÷{far:.2g}"
    return f"{way} it {word}, {number}" if far < 100 else f"{way} it {word}, {number[0]}100 or more"


def others_words(found: Findings) -> str:
    """The less likely causes in one sentence; empty when the rest isn't worth naming."""
    rest = found.causes[len(told(found)) :]
    named = [f"{_lower(c.name)} {percent(c.probability)}" for c in rest if c.probability >= _TRACE]
    return f"Less likely: {joined(named[:6])}." if named else ""


def together(found: Findings, knowledge: Knowledge) -> list[str]:
    """Causes that act at the same time, when a pair or more stands out."""
    texts = together_words(found, knowledge)
    return ["", *paragraph("More than one at work at once:"), *bullets(texts)] if texts else []


def together_words(found: Findings, knowledge: Knowledge) -> list[str]:
    """Each such set in words, with its chance."""
    pairs = [t for t in found.together if len(t.causes) > 1 and t.probability >= 0.05]
    return [f"{joined([_name(c, knowledge) for c in t.causes])}: {percent(t.probability)}" for t in pairs[:3]]


def unexplained(found: Findings, knowledge: Knowledge) -> list[str]:
    """Signs that no listed cause produced, and answers that fit nothing well."""
    left, poor = unexplained_words(found, knowledge)
    return [*heading("What this does not explain"), *bullets(left), *paragraph(poor)] if left or poor else []


def unexplained_words(found: Findings, knowledge: Knowledge) -> tuple[list[str], str]:
    """Each unexplained sign, and a sentence where the answers fit nothing well (else empty)."""
    left = [
        f"{_sign(entry.sign, knowledge)}: {percent(entry.probability)} that no cause listed here produced it"
        for entry in found.leftover
        if entry.probability >= _LEFT
    ]
    poor = (
        f"Taken together, what you describe is rare under everything in here (fit {found.fit:.2g}): "
        "either an answer is off or the cause is not in here. Check the answers again and get help."
    )
    return left, poor if found.fit < _POOR_FIT else ""


def next_check(found: Findings) -> list[str]:
    """The look that is worth most now, and what could come after it; none at a machine that must be stopped."""
    questions = open_checks(found)
    if not questions:
        return []
    first, *later = questions
    lines = [*heading("What to look at next"), *paragraph(f"{first.text} {effort(first)}")]
    lines += paragraph(f"How: {first.how}", 2) if first.how else []
    lines += paragraph(f"Why: {first.why}", 2) if first.why else []
    if later:
        lines += ["Then:", *bullets(f"{q.text} {effort(q)}" for q in later[:2])]
    return lines


def open_checks(found: Findings) -> list[NextQuestion]:
    """The looks still worth having, best first; none at the running machine when it must be stopped."""
    stop = found.urgency.level == "stop_now"
    return [q for q in found.next_questions if not (stop and q.stage == "running")]


def effort(question: NextQuestion) -> str:
    """Stage and time, in brackets."""
    return f"({label(question.stage)}, {duration(question.minutes / 60)})"


def _name(cause: str, knowledge: Knowledge) -> str:
    return _lower(knowledge.causes[cause].name) if cause in knowledge.causes else label(cause)


def _sign(sign: str, knowledge: Knowledge) -> str:
    return knowledge.signs[sign].text if sign in knowledge.signs else label(sign)


def _lower(name: str) -> str:
    """First letter small inside a sentence, unless the word is an abbreviation."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
