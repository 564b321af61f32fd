"""The ninth layout: a weather day says when it was forecast, where it was.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0009"
down_revision = "0008"



def upgrade() -> None:
    """Add the column."""
    op.execute("ALTER TABLE weather_day ADD COLUMN forecast_made_at VARCHAR(32) CONSTRAINT forecast_made_at CHECK "
               "(length(forecast_made_at) BETWEEN 1 AND 32)")


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
