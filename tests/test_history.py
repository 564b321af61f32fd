"""A history of which the end alone is at hand is as the whole of it, and asks for the rest only when it must."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gwlog.history import History, Lookup, Older, known, newest_first

DAY = date(2026, 3, 1)
MOMENT = datetime(2026, 3, 1, tzinfo=UTC)


def parted(items: list[int], at: int) -> tuple[History[int], list[int]]:
    """A history whose first items are fetched, and how often they were."""
    fetched: list[int] = []

    def fetch() -> list[int]:
        fetched.append(1)
        return items[:at]

    return History(items[at:], Older(fetch, at, MOMENT, DAY)), fetched


@given(st.lists(st.integers(), max_size=8), st.data())
def test_it_is_the_list_of_its_items(items: list[int], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(items)))
    more = data.draw(st.lists(st.integers(), max_size=3))
    first, last = data.draw(st.integers(-9, 9)), data.draw(st.none() | st.integers(-9, 9))

    def grown() -> History[int]:
        made = parted(items, at)[0].copy()
        for one in more:
            made.append(one)
        return made

    whole = [*items, *more]
    assert grown() == whole and grown() == History(whole) and list(grown()) == whole and len(grown()) == len(whole)
    assert list(reversed(grown())) == whole[::-1]
    assert grown()[first:last] == whole[first:last]
    assert bool(grown()) == bool(whole)
    if -len(whole) <= first < len(whole):
        assert grown()[first] == whole[first]
    asked = grown()
    asked.whole()
    asked.append(7)
    assert asked == [*whole, 7]
    assert known(asked) == [*items[at:], *more, 7]


def test_the_end_is_told_without_the_rest() -> None:
    made, fetched = parted([1, 2, 3, 4, 5], 2)
    assert (made[-1], made[-3:], len(made), bool(made)) == (5, [3, 4, 5], 5, True)
    assert list(newest_first(made, DAY)) == list(newest_first(made, MOMENT)) == [5, 4, 3]
    assert not fetched
    assert list(newest_first(made, DAY - timedelta(days=1))) == [5, 4, 3, 2, 1]
    assert list(newest_first(made, MOMENT - timedelta(seconds=1))) == [5, 4, 3, 2, 1]
    assert fetched


def test_a_lookup_asks_for_the_rest_where_it_cannot_know() -> None:
    fetched: list[int] = []

    def fetch() -> dict[int, str]:
        fetched.append(1)
        return {1: "one", 2: "two", 3: "three"}

    made: Lookup[int, str] = Lookup({3: "three"}, Older(fetch, 3, MOMENT, DAY), lambda key: key > 2)
    made[4] = "four"
    made.setdefault(3, "drei")
    made.setdefault(5, "five")
    assert (made.get(3), made[4], made.get(9), 5 in made, made.since(3)) == (
        "three", "four", None, True, {3: "three", 4: "four", 5: "five"})
    assert made.known_values() == ["three", "four", "five"]
    assert not fetched
    assert made.get(1) == "one"
    assert list(made.copy()) == [1, 2, 3, 4, 5]
    assert made == {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}
    with pytest.raises(TypeError):
        del made[1]
