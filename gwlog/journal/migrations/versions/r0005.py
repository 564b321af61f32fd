"""The fifth layout: the climate's monthly mean temperatures, for frost without a thermometer.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Add the column."""
    op.execute("ALTER TABLE site ADD COLUMN monthly_tmean_mdegc TEXT CONSTRAINT monthly_tmean_mdegc "
               "CHECK (monthly_tmean_mdegc GLOB '[[]*]' AND length(monthly_tmean_mdegc) <= 20000)")


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
