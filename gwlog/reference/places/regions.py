"""The states of the countries in which a code profile can follow from the state, and other names of countries."""

from __future__ import annotations

US_STATES: dict[str, str] = {
    "AL": "Alabama", "AK": "Alaska", "AZ": "Arizona", "AR": "Arkansas", "CA": "California", "CO": "Colorado",
    "CT": "Connecticut", "DE": "Delaware", "DC": "District of Columbia", "FL": "Florida", "GA": "Georgia",
    "HI": "Hawaii", "ID": "Idaho", "IL": "Illinois", "IN": "Indiana", "IA": "Iowa", "KS": "Kansas", "KY": "Kentucky",
    "LA": "Louisiana", "ME": "Maine", "MD": "Maryland", "MA": "Massachusetts", "MI": "Michigan", "MN": "Minnesota",
    "MS": "Mississippi", "MO": "Missouri", "MT": "Montana", "NE": "Nebraska", "NV": "Nevada", "NH": "New Hampshire",
    "NJ": "New Jersey", "NM": "New Mexico", "NY": "New York", "NC": "North Carolina", "ND": "North Dakota",
    "OH": "Ohio", "OK": "Oklahoma", "OR": "Oregon", "PA": "Pennsylvania", "RI": "Rhode Island",
    "SC": "South Carolina", "SD": "South Dakota", "TN": "Tennessee", "TX": "Texas", "UT": "Utah", "VT": "Vermont",
    "VA": "Virginia", "WA": "Washington", "WV": "West Virginia", "WI": "Wisconsin", "WY": "Wyoming",
    "PR": "Puerto Rico", "VI": "Virgin Islands", "GU": "Guam", "AS": "American Samoa", "MP": "Northern Marianas",
}
STATES: dict[str, dict[str, tuple[str, str]]] = {
    "US": {code: (code, name) for code, name in US_STATES.items()},
    "AU": {"01": ("ACT", "Australian Capital Territory"), "02": ("NSW", "New South Wales"),
           "03": ("NT", "Northern Territory"), "04": ("QLD", "Queensland"), "05": ("SA", "South Australia"),
           "06": ("TAS", "Tasmania"), "07": ("VIC", "Victoria"), "08": ("WA", "Western Australia")},
    "CA": {"01": ("AB", "Alberta"), "02": ("BC", "British Columbia"), "03": ("MB", "Manitoba"),
           "04": ("NB", "New Brunswick"), "05": ("NL", "Newfoundland and Labrador"), "07": ("NS", "Nova Scotia"),
           "08": ("ON", "Ontario"), "09": ("PE", "Prince Edward Island"), "10": ("QC", "Quebec"),
           "11": ("SK", "Saskatchewan"), "12": ("YT", "Yukon"), "13": ("NT", "Northwest Territories")},
}
"""Country -> the state's code in the table of towns -> its usual letters and its name."""

OTHER_NAMES: dict[str, str] = {
    "usa": "US", "us": "US", "america": "US", "uk": "GB", "great britain": "GB", "england": "GB", "scotland": "GB",
    "wales": "GB", "northern ireland": "GB", "holland": "NL", "the netherlands": "NL", "czech republic": "CZ",
}
"""What people call a country besides the name in the table of towns."""
