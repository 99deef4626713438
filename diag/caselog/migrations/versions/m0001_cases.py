"""Cases as judged, and what happened after: notes, work, confirmation, outcome, reopening."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "diag_record",
        sa.Column("id", sa.String(16), primary_key=True, comment="short, random, permanent"),
        sa.Column("added", sa.String(27), nullable=False, comment="UTC, ISO 8601 with microseconds"),
        sa.Column("site", sa.Text, nullable=False, comment="empty when not told, like the next five"),
        sa.Column("machine", sa.Text, nullable=False),
        sa.Column("point", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False, comment="rolling_bearing, pin_bushing, slideway"),
        sa.Column("complaint", sa.Text, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("case", sa.Text, nullable=False, comment="YAML as written"),
        sa.Column("findings", sa.Text, nullable=False, comment="JSON of the review of that day"),
        sa.Column("knowledge", sa.Text, nullable=False, comment="fingerprint of the knowledge it was judged with"),
        sa.Column("version", sa.Text, nullable=False, comment="of the program"),
        comment="cases as judged; rows are never changed",
    )
    op.create_table(
        "diag_event",
        sa.Column("key", sa.String(16), primary_key=True, comment="short, random, permanent"),
        sa.Column("record", sa.String(16), sa.ForeignKey("diag_record.id"), nullable=False),
        sa.Column("at", sa.String(27), nullable=False, comment="UTC; later than every earlier event of the record"),
        sa.Column("what", sa.Text, nullable=False,
                  comment="note, work, confirmed, outcome, reopened, action, done, inquiry"),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("causes", sa.Text, nullable=False, comment="JSON list of cause ids (confirmed)"),
        sa.Column("how", sa.Text, comment="inspection, laboratory, unconfirmed (confirmed)"),
        sa.Column("held", sa.Boolean, comment="did what was done hold? (outcome)"),
        comment="what happened after; rows are never changed",
    )
    op.create_index("diag_event_record", "diag_event", ["record"])
