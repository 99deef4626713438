"""Brings what a log has confirmed into a review. Never makes a log, and no fault of one stops a review."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING

from diag import knowledgebase
from diag.case.words import plain
from diag.caselog import locations
from diag.cli.reading import read
from diag.errors import InputError
from diag.extras import needs

if TYPE_CHECKING:
    from diag.case.model import Case
    from diag.caselog.store import Store
    from diag.knowledgebase import Knowledge

__all__ = ["read_with_log", "site_by_site", "with_log"]

_SITES = 64  # held at once, so that a table of many sites stays at flat memory


def with_log(knowledge: Knowledge, site: str | None) -> Knowledge:
    """The knowledge with the base rates that the usual log teaches of `site`; itself where there is no log.

    A log that can't be read is told on standard error and left out: a hot bearing doesn't wait for a server.
    """
    return site_by_site(knowledge)(site)


def read_with_log(name: str, experience: bool) -> tuple[Case, Knowledge]:
    """The case, and the knowledge with what the log teaches of its site. Raises InputError."""
    knowledge = knowledgebase.load()
    case = read(name, knowledge)
    return case, with_log(knowledge, case.case.site) if experience else knowledge


def site_by_site(knowledge: Knowledge) -> Callable[[str | None], Knowledge]:
    """`with_log` for many cases: gives the knowledge for a site, each site learnt once; a faulty log is told once."""
    faulty = False

    @lru_cache(_SITES)
    def of(site: str) -> Knowledge:
        nonlocal faulty
        try:
            return knowledge if faulty else _learnt(knowledge, site)
        except InputError as fault:
            faulty = True
            _tell(fault)
            return knowledge

    return lambda site: of(plain(site or ""))


def _learnt(knowledge: Knowledge, site: str) -> Knowledge:
    """Raises InputError for a log that can't be read."""
    store = _existing()
    if store is None:
        return knowledge
    from diag.caselog.experience import experienced

    return experienced(knowledge, store.each(), site)


def _tell(fault: InputError) -> None:
    print(f"diag: without the experience of the log: {fault}", file=sys.stderr)


def _existing() -> Store | None:
    """The usual log. A file is looked for first: the database library takes half a second to come in."""
    try:
        needs("the case log", "log")
    except InputError:
        return None  # never installed, so nothing was ever kept
    path = locations.file_of(locations.place())
    if path is not None and not path.is_file():
        return None
    from diag.caselog.store import Store

    return Store.existing()
