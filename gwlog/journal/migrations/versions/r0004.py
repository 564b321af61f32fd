"""The fourth layout: other water, a gauge's total, young plants, what a day without logged rain had, water's price.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0004"
down_revision = "0003"

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"
_DAY = "[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]"

_COLUMNS = (
    ("site", "rain TEXT", "rain", "rain IN ('as logged', 'normals where not logged')"),
    ("site", "water_price_milli INTEGER", "water_price_milli", "water_price_milli BETWEEN 0 AND 1000000000"),
    ("site", "currency VARCHAR(60)", "currency", "length(currency) BETWEEN 1 AND 60"),
    ("basin", "planted DATE", "planted", f"planted GLOB '{_DAY}'"),
    ("basin", "planted_canopy_cm2 INTEGER", "planted_canopy_cm2", "planted_canopy_cm2 BETWEEN 1 AND 100000000"),
    ("basin", "planted_root_mm INTEGER", "planted_root_mm", "planted_root_mm BETWEEN 1 AND 10000"),
    ("basin", "ground_cover TEXT", "ground_cover", "ground_cover IN ('mulch', 'growing')"),
    ("weather_day", "rain_from DATE", "rain_from", f"rain_from GLOB '{_DAY}'"),
)

_STEPS = (
    *(f"ALTER TABLE {table} ADD COLUMN {column} CONSTRAINT {name} CHECK ({rule})"
      for table, column, name, rule in _COLUMNS),
    f"""
    CREATE TABLE other_water (
        id INTEGER NOT NULL,
        happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
        recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
        zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
        recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
        note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
        corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
        basin VARCHAR(60) NOT NULL CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
        volume_ml INTEGER NOT NULL CONSTRAINT volume_ml CHECK (volume_ml BETWEEN 1 AND 100000000),
        way TEXT NOT NULL CONSTRAINT way CHECK (way IN ('can', 'drip', 'hose', 'flush')),
        PRIMARY KEY (id),
        FOREIGN KEY(id) REFERENCES seal (seq),
        UNIQUE (corrects_id),
        FOREIGN KEY(corrects_id) REFERENCES other_water (id)
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
