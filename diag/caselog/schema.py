"""The tables as they are today. The numbered migrations lead here from any older log; a test compares."""

from __future__ import annotations

from sqlalchemy import Boolean, Column, ForeignKey, Index, MetaData, String, Table, Text

__all__ = ["EVENT", "HEAD", "METADATA", "RECORD", "VERSION_TABLE"]

HEAD = "0002"  # the newest migration
VERSION_TABLE = "diag_version"
METADATA = MetaData()

# Text rather than a JSON type: what was stored comes back byte for byte.
RECORD = Table(
    "diag_record", METADATA,
    Column("id", String(16), primary_key=True, comment="short, random, permanent"),
    Column("added", String(27), nullable=False, comment="UTC, ISO 8601 with microseconds"),
    Column("site", Text, nullable=False, comment="empty when not told, like the next five"),
    Column("machine", Text, nullable=False),
    Column("point", Text, nullable=False),
    Column("kind", Text, nullable=False, comment="rolling_bearing, pin_bushing, slideway"),
    Column("complaint", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("case", Text, nullable=False, comment="YAML as written"),
    Column("findings", Text, nullable=False, comment="JSON of the review of that day"),
    Column("knowledge", Text, nullable=False, comment="fingerprint of the knowledge it was judged with"),
    Column("version", Text, nullable=False, comment="of the program"),
    comment="cases as judged; rows are never changed",
)
EVENT = Table(
    "diag_event", METADATA,
    Column("key", String(16), primary_key=True, comment="short, random, permanent"),
    Column("record", String(16), ForeignKey("diag_record.id"), nullable=False),
    Column("at", String(27), nullable=False, comment="UTC; later than every earlier event of the record"),
    Column("what", Text, nullable=False, comment="note, work, confirmed, outcome, reopened, action, done, inquiry"),
    Column("text", Text, nullable=False),
    Column("causes", Text, nullable=False, comment="JSON list of cause ids (confirmed)"),
    Column("how", Text, comment="inspection, laboratory, unconfirmed (confirmed)"),
    Column("held", Boolean, comment="did what was done hold? (outcome)"),
    Column("due", String(10), comment="day to look again (action)"),
    Column("action", String(16), comment="key of the action that is done (done)"),
    Column("data", Text, comment="JSON of the answers so far (inquiry)"),
    Index("diag_event_record", "record"),
    comment="what happened after; rows are never changed",
)
