"""The sixth layout: the edition of the code profile, what is asked of the system itself, the rules of the place.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0006"
down_revision = "0005"

_COLUMNS = (
    ("code_edition VARCHAR(60)", "code_edition", "length(code_edition) BETWEEN 1 AND 60"),
    ("system_answers TEXT", "system_answers",
     "system_answers GLOB '[[]*]' AND length(system_answers) <= 20000"),
    ("local_rules TEXT", "local_rules", "local_rules GLOB '[[]*]' AND length(local_rules) <= 20000"),
)


def upgrade() -> None:
    """Add the columns."""
    for column, name, rule in _COLUMNS:
        op.execute(f"ALTER TABLE site ADD COLUMN {column} CONSTRAINT {name} CHECK ({rule})")


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
