"""The tenth layout: what new entries seal in parts, each with the salt of its digest.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    """Add the table."""
    op.execute(
        """
        CREATE TABLE seal_part (
            seq INTEGER NOT NULL,
            parts VARCHAR NOT NULL,
            PRIMARY KEY (seq),
            FOREIGN KEY(seq) REFERENCES seal (seq),
            CONSTRAINT parts_form CHECK (parts GLOB '{*}')
        )
        """
    )


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
