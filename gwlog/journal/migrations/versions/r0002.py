"""The second layout: answers to reminders (sealed entries), and the states of notifications (not sealed).

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"

_STEPS = (
    f"""
    CREATE TABLE reminder_answer (
        id INTEGER NOT NULL,
        happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
        recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
        zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
        recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
        note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
        corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
        "key" VARCHAR(120) NOT NULL CONSTRAINT "key" CHECK (length(key) BETWEEN 1 AND 120),
        answer TEXT NOT NULL CONSTRAINT answer CHECK (answer IN ('seen', 'snoozed')),
        until VARCHAR(32) CONSTRAINT until CHECK (length(until) BETWEEN 1 AND 32),
        CONSTRAINT until_of_snooze CHECK ((answer = 'snoozed') = (until IS NOT NULL)),
        PRIMARY KEY (id),
        FOREIGN KEY(id) REFERENCES seal (seq),
        UNIQUE (corrects_id),
        FOREIGN KEY(corrects_id) REFERENCES reminder_answer (id)
    )
    """,
    """
    CREATE TABLE delivery (
        "key" VARCHAR NOT NULL,
        reminder VARCHAR NOT NULL,
        person VARCHAR NOT NULL,
        channel VARCHAR NOT NULL,
        state TEXT NOT NULL CONSTRAINT state CHECK (state IN ('claimed', 'handed', 'told', 'failed')),
        token VARCHAR NOT NULL,
        since VARCHAR NOT NULL,
        tries INTEGER NOT NULL,
        next_try VARCHAR,
        trouble VARCHAR,
        PRIMARY KEY ("key")
    )
    """,
    "CREATE INDEX ix_delivery_token ON delivery (token)",
)


def upgrade() -> None:
    """Make both tables."""
    for statement in _STEPS:
        op.execute(statement)


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
