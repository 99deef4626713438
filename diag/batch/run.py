"""Cases reviewed in portions: the same steps as one review, the causes of a portion weighed in one pass."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import islice
from typing import TYPE_CHECKING

from diag.batch.sources import Item
from diag.errors import Fault, InputError
from diag.findings import Findings
from diag.review import review_many

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["PORTION", "reviewed"]

PORTION = 64  # cases held at once: enough rows for the batched pass, and some MB


def reviewed(
    items: Iterable[Item], knowledge: Knowledge, text: bool = True, portion: int = PORTION,
    of_site: Callable[[str | None], Knowledge] | None = None,
) -> Iterator[tuple[Item, Findings | None]]:
    """Each item in its order with its findings; None with the faults of the item.

    `of_site`: the knowledge with what a log teaches of a site, in place of `knowledge`.
    """
    rest = iter(items)
    while part := list(islice(rest, portion)):
        known = [of_site(i.case.case.site) if of_site and i.case else knowledge for i in part]
        pairs = [(i.case, k) for i, k in zip(part, known, strict=True) if i.case is not None]
        found = {id(one): review_many([case for case, k in pairs if k is one], one, text) for one in known}
        for item, its in zip(part, known, strict=True):
            yield _judged(item, None if item.case is None else next(found[id(its)]))


def _judged(item: Item, found: Findings | InputError | None) -> tuple[Item, Findings | None]:
    if isinstance(found, InputError):
        return replace(item, case=None, faults=tuple(Fault(f.what, item.place, f.key) for f in found.faults)), None
    return item, found
