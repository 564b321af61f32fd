"""The eleventh layout: what happened on paper is attested, and a witness's answer is kept beside it.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0011"
down_revision = "0010"

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"

_STEPS = (
    f"""
    CREATE TABLE attestation (
        id INTEGER NOT NULL,
        happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
        recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
        zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
        recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
        note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
        corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
        attested TEXT NOT NULL CONSTRAINT attested CHECK (attested IN ('permit or notice', 'cross-connection check',
            'manual handed over', 'visit', 'seal number given', 'seal number witnessed', 'handed on')),
        party VARCHAR(120) CONSTRAINT party CHECK (length(party) BETWEEN 1 AND 120),
        means TEXT CONSTRAINT means CHECK (means IN ('by hand', 'by mail', 'by e-mail', 'read out', 'statement',
            'SSH signature', 'time stamp')),
        number VARCHAR(80) CONSTRAINT number CHECK (length(number) BETWEEN 1 AND 80),
        file_name VARCHAR(120) CONSTRAINT file_name CHECK (length(file_name) BETWEEN 1 AND 120),
        file_sha256 VARCHAR(64) CONSTRAINT file_sha256 CHECK (length(file_sha256) BETWEEN 1 AND 64),
        PRIMARY KEY (id),
        CONSTRAINT number_form CHECK (number GLOB '[1-9]*:*' AND number NOT GLOB '*[^0-9a-f:]*'
            AND length(number) >= 18),
        CONSTRAINT number_of_seal CHECK ((attested IN ('seal number given', 'seal number witnessed'))
            = (number IS NOT NULL)),
        CONSTRAINT digest_form CHECK (length(file_sha256) = 64 AND file_sha256 NOT GLOB '*[^0-9a-f]*'),
        FOREIGN KEY(id) REFERENCES seal (seq),
        UNIQUE (corrects_id),
        FOREIGN KEY(corrects_id) REFERENCES attestation (id)
    )
    """,
    "CREATE INDEX attestation_happened_at ON attestation (happened_at)",
    """
    CREATE TABLE attached (
        sha256 VARCHAR NOT NULL,
        content BLOB NOT NULL,
        PRIMARY KEY (sha256),
        CONSTRAINT sha256_form CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
        CONSTRAINT content_size CHECK (length(content) BETWEEN 1 AND 100000)
    )
    """,
)


def upgrade() -> None:
    """Make the tables."""
    for statement in _STEPS:
        op.execute(statement)


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
