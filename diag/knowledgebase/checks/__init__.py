"""Lint over the knowledge: one small rule each, see base.py for what the severities mean."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from diag.knowledgebase.checks import numbers, references, structure, writing
from diag.knowledgebase.checks.base import RULES, Issue, Rule
from diag.knowledgebase.checks.structure import MOST_WIDTH
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Kind

__all__ = ["RULES", "Issue", "Rule", "check", "numbers", "references", "structure", "writing"]

# A later rule may trip over what these find, so that it is looked at only when they are content.
FIRST = ("dangling_id", "unknown_word", "word_range", "link_cycle")


def check(knowledge: Knowledge, width: Callable[[Kind], int] | None = None,
          functions: Collection[str] | None = None) -> tuple[Issue, ...]:
    """All issues, errors first.

    `width` measures the network of a kind, `functions` are the names circumstances may call: both come from
    layers above this one, and a rule that lacks its own is left out.
    """
    found = [issue for rule_id in FIRST for issue in RULES[rule_id].issues(knowledge)]
    if not found:
        later = (rule for rule_id, rule in RULES.items() if rule_id not in FIRST)
        found = [issue for rule in later for issue in rule.issues(knowledge)]
        found.extend(_too_wide(width) if width else ())
    if functions is not None:
        found.extend(_unknown_functions(knowledge, functions))
    return tuple(sorted(found, key=lambda issue: (issue.severity, issue.place)))


def _unknown_functions(knowledge: Knowledge, functions: Collection[str]) -> Iterator[Issue]:
    """A circumstance that calls a function which isn't there."""
    for circumstance in knowledge.circumstances.values():
        if circumstance.function and circumstance.function not in functions:
            text = f"no such function: {circumstance.function}"
            yield Issue("unknown_function", "error", f"circumstances.{circumstance.id}", text)


def _too_wide(width: Callable[[Kind], int]) -> Iterator[Issue]:
    """The network of a kind whose cost has grown out of hand."""
    for kind in ALL_KINDS:
        if (found := width(kind)) > MOST_WIDTH:
            text = f"the network of a {kind} has width {found}, over {MOST_WIDTH}"
            yield Issue("graph_width", "error", "conditions", text)
