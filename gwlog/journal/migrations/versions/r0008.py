"""The eighth layout: what happened is found by its moment, so that a list of the last entries reads no others.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0008"
down_revision = "0007"

_KINDS = ("wash_load", "outlet_move", "valve_switch", "mulch", "weather_day", "observation", "resolution",
          "upkeep_done", "reminder_answer", "other_water", "soil_reading")


def upgrade() -> None:
    """Make the indexes."""
    for kind in _KINDS:
        op.execute(f"CREATE INDEX IF NOT EXISTS {kind}_happened_at ON {kind} (happened_at)")


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
