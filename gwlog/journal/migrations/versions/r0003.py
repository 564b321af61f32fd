"""The third layout: how long a run of a machine or of a usual load takes, and a valve whose place nobody has said.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"

_STEPS = (
    *(f"ALTER TABLE {table} ADD COLUMN run_minutes INTEGER CONSTRAINT run_minutes CHECK (run_minutes BETWEEN 1 AND 600)"
      for table in ("washer", "usual_load")),
    # SQLite changes no constraint in place: the table is made anew, its rows are copied as they lie.
    f"""
    CREATE TABLE site_anew (
        id INTEGER NOT NULL,
        happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
        recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
        zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
        recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
        note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
        corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        latitude_udeg INTEGER NOT NULL
            CONSTRAINT latitude_udeg CHECK (latitude_udeg BETWEEN -90000000 AND 90000000),
        units TEXT NOT NULL CONSTRAINT units CHECK (units IN ('us', 'metric')),
        occupants INTEGER NOT NULL CONSTRAINT occupants CHECK (occupants BETWEEN 1 AND 100),
        code VARCHAR(60) NOT NULL CONSTRAINT code CHECK (length(code) BETWEEN 1 AND 60),
        aim TEXT NOT NULL CONSTRAINT aim CHECK (aim IN ('plants', 'garden')),
        valve TEXT NOT NULL CONSTRAINT valve CHECK (valve IN ('garden', 'sewer', 'unknown')),
        eto_zone INTEGER CONSTRAINT eto_zone CHECK (eto_zone BETWEEN 1 AND 18),
        monthly_eto_um TEXT
            CONSTRAINT monthly_eto_um CHECK (monthly_eto_um GLOB '[[]*]' AND length(monthly_eto_um) <= 20000),
        monthly_rain_um TEXT
            CONSTRAINT monthly_rain_um CHECK (monthly_rain_um GLOB '[[]*]' AND length(monthly_rain_um) <= 20000),
        softened_water BOOLEAN NOT NULL CONSTRAINT softened_water CHECK (softened_water IN (0, 1)),
        PRIMARY KEY (id),
        FOREIGN KEY(id) REFERENCES seal (seq),
        UNIQUE (corrects_id),
        FOREIGN KEY(corrects_id) REFERENCES site (id)
    )
    """,
    "INSERT INTO site_anew SELECT id, happened_at, recorded_at, zone, recorded_by, note, corrects_id, name, "
    "latitude_udeg, units, occupants, code, aim, valve, eto_zone, monthly_eto_um, monthly_rain_um, softened_water "
    "FROM site",
    "DROP TABLE site",
    "ALTER TABLE site_anew RENAME TO site",
)


def upgrade() -> None:
    """Add the columns, make the table of sites anew."""
    for statement in _STEPS:
        op.execute(statement)


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
