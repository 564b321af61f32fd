"""What codes speak of: the topics by which profiles are set side by side, and a report goes through one."""

from __future__ import annotations

TOPICS: dict[str, str] = {
    "permit": "permit or permission",
    "notice": "notice to the agency",
    "dwelling": "which dwellings",
    "laundry": "which water",
    "volume": "how much a day",
    "flow": "what it is sized for",
    "valve": "valve and sewer",
    "diapers": "diapers and infectious wash",
    "hazardous": "hazardous chemicals",
    "softener": "water softener",
    "sodium": "sodium",
    "illness": "illness in the house",
    "food": "food plants",
    "release": "how it comes out",
    "cover": "cover",
    "spray": "spraying",
    "ponding": "ponding and runoff",
    "lot": "on the lot",
    "contact": "contact",
    "season": "season and plant use",
    "wet ground": "rain, wet and frozen ground",
    "storage": "tank and storage",
    "pump": "pump",
    "untouched": "joints and structure",
    "label": "labels",
    "distances": "distances",
    "groundwater": "groundwater",
    "floodway": "floodway",
    "soil": "soil",
    "device": "certified parts",
    "manual": "manual and handover",
    "record": "records and reports",
    "other rules": "other rules",
}
"""Topic -> in words, in the order in which they are told."""

TOPIC_OF: dict[str, str] = {
    "local": "permit", "until": "permit", "cities": "other rules", "statute": "other rules",
    "local volume": "volume", "designer": "volume", "bedrooms": "dwelling",
    "washer alone": "laundry", "pipes uncut": "laundry",
    "overflow": "valve", "failure": "valve", "sewer": "valve", "excreta": "diapers",
    "method": "release", "field": "release", "surface": "release",
    "watercourse": "ponding", "storm sewer": "ponding", "pavement": "lot",
    "plant use": "season", "tank": "storage", "covered tank": "storage",
    "own pump": "pump", "gravity": "pump", "trap": "untouched",
    "absorption": "soil", "percolation": "soil", "parts": "device", "odour": "other rules",
}
"""Conditions whose id is not itself a topic -> the topic."""
