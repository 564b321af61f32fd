"""Masses from chemical formulas: atoms, ions, equivalents. No molar mass is typed anywhere else.

A formula is written without charges, groups in brackets, part numbers allowed: “Na2CO3(H2O2)1.5”.
"""

from __future__ import annotations

import re
from functools import lru_cache

from gwlog.reference.source import Sourced

IUPAC = "IUPAC standard atomic weights, conventional values where an interval is printed"

ATOMIC_WEIGHTS: dict[str, Sourced[float]] = {
    symbol: Sourced(weight, IUPAC, "2021", "memory")
    for symbol, weight in (
        ("H", 1.008), ("B", 10.81), ("C", 12.011), ("N", 14.007), ("O", 15.999), ("Na", 22.98976928),
        ("Mg", 24.305), ("Al", 26.9815384), ("Si", 28.085), ("P", 30.973761998), ("S", 32.06), ("Cl", 35.45),
        ("K", 39.0983), ("Ca", 40.078), ("Fe", 55.845),
    )
}
"""Atomic weights [g/mol]."""

IONS: dict[str, tuple[str, int]] = {
    "sodium": ("Na", 1), "potassium": ("K", 1), "calcium": ("Ca", 2), "magnesium": ("Mg", 2),
    "chloride": ("Cl", 1), "sulfate": ("SO4", 2), "bicarbonate": ("HCO3", 1), "carbonate": ("CO3", 2),
    "calcium carbonate": ("CaCO3", 2),
}
"""What a water report names -> its formula and its charge; calcium carbonate is what hardness and alkalinity are
told as."""

_TOKEN = re.compile(r"([A-Z][a-z]?)|(\()|(\))|(\d+(?:\.\d+)?)")


@lru_cache(maxsize=256)
def atoms(formula: str) -> dict[str, float]:
    """Return how many of each atom a formula holds. Raises ValueError for what cannot be read."""
    groups: list[list[tuple[str, float]]] = [[]]
    pending: list[tuple[str, float]] = []
    place = 0

    def settle(times: float) -> None:
        groups[-1].extend((symbol, count * times) for symbol, count in pending)

    while place < len(formula):
        token = _TOKEN.match(formula, place)
        if token is None:
            raise ValueError(f"“{formula}” cannot be read as a formula at “{formula[place:]}”")
        place = token.end()
        symbol, opened, closed, number = token.groups()
        if number is not None:
            if not pending:
                raise ValueError(f"“{formula}” has a number without an atom before it")
            settle(float(number))
            pending = []
            continue
        settle(1.0)
        pending = []
        if symbol is not None:
            if symbol not in ATOMIC_WEIGHTS:
                raise ValueError(f"“{symbol}” of “{formula}” is not among the atoms known here")
            pending = [(symbol, 1.0)]
        elif opened:
            groups.append([])
        elif closed:
            if len(groups) == 1:
                raise ValueError(f"“{formula}” closes a bracket that it does not open")
            pending = groups.pop()
    settle(1.0)
    if len(groups) != 1 or not groups[0]:
        raise ValueError(f"“{formula}” is not a whole formula")
    counted: dict[str, float] = {}
    for symbol, count in groups[0]:
        counted[symbol] = counted.get(symbol, 0.0) + count
    return counted


def molar_mass(formula: str) -> float:
    """Return the mass of a mole of a formula [g/mol]."""
    return sum(count * ATOMIC_WEIGHTS[symbol].value for symbol, count in atoms(formula).items())


def mmol_per_g(symbol: str, formula: str) -> float:
    """Return how much of one kind of atom a gram of a formula brings [mmol/g]."""
    return 1000.0 * atoms(formula).get(symbol, 0.0) / molar_mass(formula)


def mg_per_me(ion: str) -> float:
    """Return the mass of a milliequivalent [mg/me] of an ion named in IONS."""
    formula, charge = IONS[ion]
    return molar_mass(formula) / charge
