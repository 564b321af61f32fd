"""The twelfth layout: how the system was built, as the household states it.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    """Add the column."""
    op.execute("ALTER TABLE site ADD COLUMN as_built TEXT CONSTRAINT as_built CHECK "
               "(as_built GLOB '[[]*]' AND length(as_built) <= 20000)")


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
