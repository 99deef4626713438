"""Chains of causes along the links of the knowledge."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["between", "further", "roots_of"]


def between(root: str, end: str, knowledge: Knowledge, kind: str) -> list[tuple[str, str]]:
    """The shortest chain: (cause, how the one before leads to it), the root first with ""; [] when no link leads on."""
    paths: dict[str, list[tuple[str, str]]] = {root: [(root, "")]}
    queue = deque([root])
    while queue:
        cause = queue.popleft()
        if cause == end:
            return paths[cause]
        for link in knowledge.causes[cause].leads_to:
            if kind in link.kinds and link.cause not in paths:
                paths[link.cause] = [*paths[cause], (link.cause, link.how)]
                queue.append(link.cause)
    return []


def further(end: str, there: Collection[str], knowledge: Knowledge, kind: str) -> list[tuple[str, str]]:
    """What the end led to among the causes that are held to be `there`: (cause, how), one link on."""
    return [(link.cause, link.how) for link in knowledge.causes[end].leads_to
            if kind in link.kinds and link.cause in there]


def roots_of(end: str, knowledge: Knowledge, kind: str) -> tuple[str, ...]:
    """Causes from which links lead to `end`, the nearest first."""
    found: dict[str, None] = {}
    queue = deque([end])
    while queue:
        at = queue.popleft()
        for cause in knowledge.causes.values():
            leads = any(link.cause == at and kind in link.kinds for link in cause.leads_to)
            if leads and cause.id not in found and cause.id != end:
                found[cause.id] = None
                queue.append(cause.id)
    return tuple(found)
