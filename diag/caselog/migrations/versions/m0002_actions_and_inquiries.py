"""Actions with a day to look again, and the answers of an inquiry after a failure."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.add_column("diag_event", sa.Column("due", sa.String(10), comment="day to look again (action)"))
    op.add_column("diag_event", sa.Column("action", sa.String(16), comment="key of the action that is done (done)"))
    op.add_column("diag_event", sa.Column("data", sa.Text, comment="JSON of the answers so far (inquiry)"))
