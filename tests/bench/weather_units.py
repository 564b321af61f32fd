"""10,000 random weather files: how many are read, asked and refused; none in a wrong unit. `python -m`, two minutes."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, seed, settings

from tests.importers.test_weather_units_random import never_wrong, written


def main() -> None:
    """Print how the files fared; a wrong unit stops it with the file."""
    outcomes: Counter[str] = Counter()

    @seed(20260714)
    @settings(max_examples=10_000, deadline=None, derandomize=False, database=None)
    @given(written())
    def fares(file: dict[str, object]) -> None:
        outcomes[never_wrong(file)] += 1

    fares()
    print(", ".join(f"{count:,} {what}" for what, count in outcomes.most_common()))


if __name__ == "__main__":
    main()
