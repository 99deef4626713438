"""Brings what a log has confirmed into a review. Never makes a log, and no fault of one stops a review."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from diag.caselog import locations, needs_log
from diag.errors import InputError

if TYPE_CHECKING:
    from diag.caselog.store import Store
    from diag.knowledgebase import Knowledge

__all__ = ["with_log"]


def with_log(knowledge: Knowledge, site: str | None) -> Knowledge:
    """The knowledge with the base rates that the usual log teaches of `site`; itself where there is no log.

    A log that can't be read is told on standard error and left out: a hot bearing doesn't wait for a server.
    """
    try:
        store = _existing()
        if store is None:
            return knowledge
        from diag.caselog.experience import experienced

        return experienced(knowledge, store.each(), site or "")
    except InputError as fault:
        print(f"diag: without the experience of the log: {fault}", file=sys.stderr)
        return knowledge


def _existing() -> Store | None:
    """The usual log. A file is looked for first: the database library takes half a second to come in."""
    try:
        needs_log()
    except InputError:
        return None  # never installed, so nothing was ever kept
    path = locations.file_of(locations.place())
    if path is not None and not path.is_file():
        return None
    from diag.caselog.store import Store

    return Store.existing()
