"""The case log: cases with their findings, what was done, what it turned out to be.

Records are never changed and never deleted: a case is stored once as it was judged, everything later is an
event beside it. So two logs merge by union, and no writer can overwrite another. Nothing heavy is loaded here.
"""

from __future__ import annotations

from diag.caselog.model import Action, Confirmation, Event, Record

__all__ = ["Action", "Confirmation", "Event", "Record"]
