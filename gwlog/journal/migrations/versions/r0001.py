"""The first layout: the seal, what the logbook says about itself, and a table per kind of entry.

Frozen as it was released; later layouts are later files.
"""

from __future__ import annotations

from alembic import op

revision = "0001"
down_revision = None

_KEPT = (
    """
    CREATE TABLE seal (
        seq INTEGER NOT NULL,
        entry_kind VARCHAR NOT NULL,
        entry_id INTEGER NOT NULL,
        body VARCHAR NOT NULL,
        prev VARCHAR NOT NULL,
        hash VARCHAR NOT NULL,
        PRIMARY KEY (seq),
        UNIQUE (entry_id),
        UNIQUE (prev),
        UNIQUE (hash),
        CONSTRAINT entry_is_seq CHECK (entry_id = seq),
        CONSTRAINT entry_kind CHECK (length(entry_kind) BETWEEN 1 AND 60),
        CONSTRAINT body_form CHECK (body GLOB '{*}'),
        CONSTRAINT prev_form CHECK (length(prev) = 64 AND prev NOT GLOB '*[^0-9a-f]*'),
        CONSTRAINT hash_form CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*')
    )
    """,
    """
    CREATE TABLE note_salt (
        seq INTEGER NOT NULL,
        salt VARCHAR,
        PRIMARY KEY (seq),
        FOREIGN KEY(seq) REFERENCES seal (seq)
    )
    """,
    """
    CREATE TABLE meta (
        "key" VARCHAR NOT NULL,
        value VARCHAR NOT NULL,
        PRIMARY KEY ("key")
    )
    """,
)

_MOMENT = "[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9] [0-2][0-9]:[0-5][0-9]:[0-5][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]"
_COLUMNS = f"""
    id INTEGER NOT NULL,
    happened_at DATETIME NOT NULL CONSTRAINT happened_at CHECK (happened_at GLOB '{_MOMENT}'),
    recorded_at DATETIME NOT NULL CONSTRAINT recorded_at CHECK (recorded_at GLOB '{_MOMENT}'),
    zone VARCHAR(64) NOT NULL CONSTRAINT zone CHECK (length(zone) BETWEEN 1 AND 64),
    recorded_by VARCHAR(60) CONSTRAINT recorded_by CHECK (length(recorded_by) BETWEEN 1 AND 60),
    note VARCHAR(4000) CONSTRAINT note CHECK (length(note) BETWEEN 1 AND 4000),
    corrects_id INTEGER CONSTRAINT corrects_id CHECK (corrects_id < id),
"""
_RULES = """
    PRIMARY KEY (id),
    FOREIGN KEY(id) REFERENCES seal (seq),
    UNIQUE (corrects_id),
    FOREIGN KEY(corrects_id) REFERENCES {table} (id)
"""

# Each table's own columns and rules, between the columns and the rules that all tables share.
_TABLES = {
    "site": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        latitude_udeg INTEGER NOT NULL
            CONSTRAINT latitude_udeg CHECK (latitude_udeg BETWEEN -90000000 AND 90000000),
        units TEXT NOT NULL CONSTRAINT units CHECK (units IN ('us', 'metric')),
        occupants INTEGER NOT NULL CONSTRAINT occupants CHECK (occupants BETWEEN 1 AND 100),
        code VARCHAR(60) NOT NULL CONSTRAINT code CHECK (length(code) BETWEEN 1 AND 60),
        aim TEXT NOT NULL CONSTRAINT aim CHECK (aim IN ('plants', 'garden')),
        valve TEXT NOT NULL CONSTRAINT valve CHECK (valve IN ('garden', 'sewer')),
        eto_zone INTEGER CONSTRAINT eto_zone CHECK (eto_zone BETWEEN 1 AND 18),
        monthly_eto_um TEXT
            CONSTRAINT monthly_eto_um CHECK (monthly_eto_um GLOB '[[]*]' AND length(monthly_eto_um) <= 20000),
        monthly_rain_um TEXT
            CONSTRAINT monthly_rain_um CHECK (monthly_rain_um GLOB '[[]*]' AND length(monthly_rain_um) <= 20000),
        softened_water BOOLEAN NOT NULL CONSTRAINT softened_water CHECK (softened_water IN (0, 1)),
    """,
    "person": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "washer": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        machine TEXT NOT NULL
            CONSTRAINT machine CHECK (machine IN ('top-load-agitator', 'top-load-efficient', 'front-load')),
        volume_ml INTEGER NOT NULL CONSTRAINT volume_ml CHECK (volume_ml BETWEEN 1 AND 2000000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "basin": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        area_cm2 INTEGER NOT NULL CONSTRAINT area_cm2 CHECK (area_cm2 BETWEEN 1 AND 100000000),
        mulch_mm INTEGER NOT NULL CONSTRAINT mulch_mm CHECK (mulch_mm BETWEEN 0 AND 2000),
        soil VARCHAR(60) NOT NULL CONSTRAINT soil CHECK (length(soil) BETWEEN 1 AND 60),
        texture VARCHAR(60) NOT NULL CONSTRAINT texture CHECK (length(texture) BETWEEN 1 AND 60),
        plants VARCHAR(200) NOT NULL CONSTRAINT plants CHECK (length(plants) BETWEEN 1 AND 200),
        canopy_cm2 INTEGER NOT NULL CONSTRAINT canopy_cm2 CHECK (canopy_cm2 BETWEEN 0 AND 100000000),
        wetted_cm2 INTEGER CONSTRAINT wetted_cm2 CHECK (wetted_cm2 BETWEEN 1 AND 100000000),
        plant_factor_milli INTEGER NOT NULL
            CONSTRAINT plant_factor_milli CHECK (plant_factor_milli BETWEEN 0 AND 2000),
        root_depth_mm INTEGER NOT NULL CONSTRAINT root_depth_mm CHECK (root_depth_mm BETWEEN 1 AND 10000),
        depletion_milli INTEGER NOT NULL CONSTRAINT depletion_milli CHECK (depletion_milli BETWEEN 1 AND 999),
        edible TEXT NOT NULL
            CONSTRAINT edible CHECK (edible IN ('none', 'off the ground', 'touches soil', 'root crop')),
        started DATE NOT NULL CONSTRAINT started CHECK (started GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
        start_deficit_ml INTEGER CONSTRAINT start_deficit_ml CHECK (start_deficit_ml BETWEEN 0 AND 1000000000),
        at_x_mm INTEGER CONSTRAINT at_x_mm CHECK (at_x_mm BETWEEN -10000000 AND 10000000),
        at_y_mm INTEGER CONSTRAINT at_y_mm CHECK (at_y_mm BETWEEN -10000000 AND 10000000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "outlet": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        reaches TEXT CONSTRAINT reaches CHECK (reaches GLOB '[[]*]' AND length(reaches) <= 20000),
        basin VARCHAR(60) NOT NULL CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
        share_milli INTEGER NOT NULL CONSTRAINT share_milli CHECK (share_milli BETWEEN 1 AND 1000000),
        at_x_mm INTEGER CONSTRAINT at_x_mm CHECK (at_x_mm BETWEEN -10000000 AND 10000000),
        at_y_mm INTEGER CONSTRAINT at_y_mm CHECK (at_y_mm BETWEEN -10000000 AND 10000000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "product": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        product_kind TEXT NOT NULL
            CONSTRAINT product_kind CHECK (product_kind IN ('detergent', 'bleach', 'softener', 'booster',
            'disinfectant', 'other')),
        form TEXT CONSTRAINT form CHECK (form IN ('liquid', 'powder')),
        chlorine_bleach BOOLEAN CONSTRAINT chlorine_bleach CHECK (chlorine_bleach IN (0, 1)),
        borax BOOLEAN CONSTRAINT borax CHECK (borax IN (0, 1)),
        sodium_mg INTEGER CONSTRAINT sodium_mg CHECK (sodium_mg BETWEEN 0 AND 1000000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "usual_load": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        washer VARCHAR(60) NOT NULL CONSTRAINT washer CHECK (length(washer) BETWEEN 1 AND 60),
        products TEXT NOT NULL CONSTRAINT products CHECK (products GLOB '[[]*]' AND length(products) <= 20000),
        contents TEXT NOT NULL CONSTRAINT contents CHECK (contents GLOB '[[]*]' AND length(contents) <= 20000),
        volume_ml INTEGER CONSTRAINT volume_ml CHECK (volume_ml BETWEEN 1 AND 2000000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "planned_load": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        load VARCHAR(60) NOT NULL CONSTRAINT load CHECK (length(load) BETWEEN 1 AND 60),
        starts VARCHAR(32) NOT NULL CONSTRAINT starts CHECK (length(starts) BETWEEN 1 AND 32),
        every VARCHAR(500) CONSTRAINT every CHECK (length(every) BETWEEN 1 AND 500),
        skips TEXT NOT NULL CONSTRAINT skips CHECK (skips GLOB '[[]*]' AND length(skips) <= 20000),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "upkeep_task": """
        name VARCHAR(60) NOT NULL CONSTRAINT name CHECK (length(name) BETWEEN 1 AND 60),
        every VARCHAR(32) NOT NULL CONSTRAINT every CHECK (length(every) BETWEEN 1 AND 32),
        months TEXT CONSTRAINT months CHECK (months GLOB '[[]*]' AND length(months) <= 20000),
        source VARCHAR(300) CONSTRAINT source CHECK (length(source) BETWEEN 1 AND 300),
        active BOOLEAN NOT NULL CONSTRAINT active CHECK (active IN (0, 1)),
    """,
    "wash_load": """
        usual_load VARCHAR(60) CONSTRAINT usual_load CHECK (length(usual_load) BETWEEN 1 AND 60),
        washer VARCHAR(60) NOT NULL CONSTRAINT washer CHECK (length(washer) BETWEEN 1 AND 60),
        volume_ml INTEGER NOT NULL CONSTRAINT volume_ml CHECK (volume_ml BETWEEN 1 AND 2000000),
        products TEXT NOT NULL CONSTRAINT products CHECK (products GLOB '[[]*]' AND length(products) <= 20000),
        contents TEXT NOT NULL CONSTRAINT contents CHECK (contents GLOB '[[]*]' AND length(contents) <= 20000),
        went_to TEXT NOT NULL CONSTRAINT went_to CHECK (went_to IN ('garden', 'sewer')),
    """,
    "outlet_move": """
        outlet VARCHAR(60) NOT NULL CONSTRAINT outlet CHECK (length(outlet) BETWEEN 1 AND 60),
        basin VARCHAR(60) NOT NULL CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
    """,
    "valve_switch": """
        position TEXT NOT NULL CONSTRAINT position CHECK (position IN ('garden', 'sewer')),
    """,
    "mulch": """
        basin VARCHAR(60) NOT NULL CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
        action TEXT NOT NULL CONSTRAINT action CHECK (action IN ('added', 'measured')),
        depth_mm INTEGER NOT NULL CONSTRAINT depth_mm CHECK (depth_mm BETWEEN 0 AND 2000),
        CONSTRAINT depth_of_action CHECK (depth_mm > 0 OR action = 'measured'),
    """,
    "weather_day": """
        day DATE NOT NULL CONSTRAINT day CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
        rain_um INTEGER CONSTRAINT rain_um CHECK (rain_um BETWEEN 0 AND 2000000),
        tmin_mdegc INTEGER CONSTRAINT tmin_mdegc CHECK (tmin_mdegc BETWEEN -90000 AND 60000),
        tmax_mdegc INTEGER CONSTRAINT tmax_mdegc CHECK (tmax_mdegc BETWEEN -90000 AND 60000),
        origin VARCHAR(60) NOT NULL CONSTRAINT origin CHECK (length(origin) BETWEEN 1 AND 60),
        CONSTRAINT something_measured CHECK (coalesce(rain_um, tmin_mdegc, tmax_mdegc) IS NOT NULL),
        CONSTRAINT tmin_below_tmax CHECK (tmin_mdegc <= tmax_mdegc),
    """,
    "observation": """
        observed TEXT NOT NULL
            CONSTRAINT observed CHECK (observed IN ('ponding', 'runoff', 'odour', 'leak', 'stressed plant',
            'blocked outlet', 'animals digging', 'soaked ground', 'frozen ground', 'illness', 'other')),
        basin VARCHAR(60) CONSTRAINT basin CHECK (length(basin) BETWEEN 1 AND 60),
    """,
    "resolution": """
        resolves_id INTEGER NOT NULL,
        FOREIGN KEY(resolves_id) REFERENCES seal (seq),
        CONSTRAINT resolves_earlier CHECK (resolves_id < id),
    """,
    "upkeep_done": """
        task VARCHAR(60) NOT NULL CONSTRAINT task CHECK (length(task) BETWEEN 1 AND 60),
    """,
    "withdrawal": """
        withdraws_id INTEGER NOT NULL,
        UNIQUE (withdraws_id),
        FOREIGN KEY(withdraws_id) REFERENCES seal (seq),
        CONSTRAINT withdraws_earlier CHECK (withdraws_id < id),
        CONSTRAINT withdrawal_stays CHECK (corrects_id IS NULL),
    """,
}


def upgrade() -> None:
    """Make every table."""
    for statement in _KEPT:
        op.execute(statement)
    for table, own in _TABLES.items():
        op.execute(f"CREATE TABLE {table} ({_COLUMNS}{own}{_RULES.replace('{table}', table)})")


def downgrade() -> None:
    """Refuse: there is nothing before the first layout, and a backup is the way back from a later one."""
    raise RuntimeError("restore the backup that was made before the upgrade")
