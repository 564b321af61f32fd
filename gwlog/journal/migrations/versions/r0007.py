"""The seventh layout: the tap water's report, labels and doses of products, soil tests and meter readings.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0007"
down_revision = "0006"

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"

_COLUMNS = (
    ("site", "tap_water TEXT", "tap_water", "tap_water GLOB '[[]*]' AND length(tap_water) <= 20000"),
    ("product", "label TEXT", "label", "label GLOB '[[]*]' AND length(label) <= 20000"),
    ("product", "dose_mg INTEGER", "dose_mg", "dose_mg BETWEEN 1 AND 2000000"),
)

_STEPS = (
    *(f"ALTER TABLE {table} ADD COLUMN {column} CONSTRAINT {name} CHECK ({rule})"
      for table, column, name, rule in _COLUMNS),
    f"""
    CREATE TABLE soil_reading (
        id INTEGER NOT NULL,
        happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
        recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
        zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
        recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
        note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
        corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
        basin VARCHAR(60) NOT NULL CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
        extract TEXT NOT NULL CONSTRAINT extract CHECK (extract IN ('saturation', '1:5')),
        ec_us_cm INTEGER CONSTRAINT ec_us_cm CHECK (ec_us_cm BETWEEN 0 AND 200000),
        sar_milli INTEGER CONSTRAINT sar_milli CHECK (sar_milli BETWEEN 0 AND 1000000),
        esp_milli INTEGER CONSTRAINT esp_milli CHECK (esp_milli BETWEEN 0 AND 99000),
        boron_ug_l INTEGER CONSTRAINT boron_ug_l CHECK (boron_ug_l BETWEEN 0 AND 1000000),
        ph_milli INTEGER CONSTRAINT ph_milli CHECK (ph_milli BETWEEN 0 AND 14000),
        PRIMARY KEY (id),
        CONSTRAINT something_read CHECK (coalesce(ec_us_cm, sar_milli, esp_milli, boron_ug_l, ph_milli) IS NOT NULL),
        FOREIGN KEY(id) REFERENCES seal (seq),
        UNIQUE (corrects_id),
        FOREIGN KEY(corrects_id) REFERENCES soil_reading (id)
    )
    """,
)


def upgrade() -> None:
    """Add the columns, make the table."""
    for statement in _STEPS:
        op.execute(statement)


def downgrade() -> None:
    """Refuse: the backup made before the upgrade is the way back."""
    raise RuntimeError("restore the backup that was made before the upgrade")
