"""Long histories that know their latest part and fetch the earlier one when somebody asks for it.

Whole histories behave as lists and dictionaries do; whoever needs the latest part alone asks for no more than that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, MutableMapping, Sequence
from datetime import date, datetime
from typing import Any, Generic, TypeVar, overload

from gwlog.values import NamedTuple

T = TypeVar("T")
K = TypeVar("K")
V = TypeVar("V")


class Older(NamedTuple):
    """What stands before the part that is known: how to fetch all of it, how many there are, before when it ended.

    `comes_to`: what it comes to, for those who can go on from there without walking it.
    """

    fetch: Callable[[], Any]
    number: int
    moment: datetime
    day: date
    comes_to: object = None

    def ended_before(self, since: date | datetime) -> bool:
        """Whether nothing of it is of `since` or later."""
        return since >= self.moment if isinstance(since, datetime) else since >= self.day


class History(Sequence[T]):
    """A list in order of time of which only the end may be at hand. Equal to a list of the same items."""

    __slots__ = ("_known", "_older", "_whole")

    def __init__(self, known: Iterable[T] = (), older: Older | None = None) -> None:
        self._known: list[T] = known if isinstance(known, list) else list(known)
        self._older = older if older is not None and older.number else None
        self._whole: list[T] | None = self._known if self._older is None else None

    @property
    def known(self) -> list[T]:
        """The part at the end that is at hand from the start; all of it where nothing is older."""
        return self._known

    @property
    def older(self) -> Older | None:
        """What is not at hand from the start, None where all is."""
        return self._older

    def append(self, item: T) -> None:
        """Put an item at the end."""
        self._known.append(item)
        if self._whole is not None and self._whole is not self._known:
            self._whole.append(item)

    def copy(self) -> History[T]:
        """Another history of the same items, which grows by itself."""
        return History(self._known.copy(), self._older)

    def whole(self) -> list[T]:
        """All of it, the older part fetched now if it was not at hand."""
        if self._whole is None:
            assert self._older is not None
            self._whole = [*self._older.fetch(), *self._known]
        return self._whole

    def newest_first(self, since: date | datetime) -> Iterator[T]:
        """The items of `since` or later, the latest first, and some before them."""
        yield from reversed(self._known.copy())
        older = self._older
        if older is not None and not older.ended_before(since):
            yield from reversed(older.fetch())

    def __iter__(self) -> Iterator[T]:
        return iter(self.whole())

    def __reversed__(self) -> Iterator[T]:
        older = self._older
        yield from reversed(self._known.copy())
        if older is not None:
            yield from reversed(older.fetch())

    def __len__(self) -> int:
        return len(self._known) + (self._older.number if self._older is not None else 0)

    @overload
    def __getitem__(self, place: int) -> T: ...

    @overload
    def __getitem__(self, place: slice) -> list[T]: ...

    def __getitem__(self, place: int | slice) -> T | list[T]:
        if self._whole is None:
            first = place if isinstance(place, int) else place.start
            if first is not None and -len(self._known) <= first < 0 and (
                    isinstance(place, int) or place.stop is None or place.stop < 0):
                return self._known[place]
        return self.whole()[place]

    def __eq__(self, other: object) -> bool:
        if isinstance(other, History):
            return self is other or self.whole() == other.whole()
        return self.whole() == list(other) if isinstance(other, (list, tuple)) else NotImplemented

    def __hash__(self) -> int:
        return id(self)

    def __repr__(self) -> str:
        return repr(self.whole())


class Lookup(MutableMapping[K, V], Generic[K, V]):
    """A dictionary in order of time of which only some items may be at hand. Equal to one of the same items.

    `known`: what is at hand of the older part. `answers(key)`: whether it is known of a key, which is not among them,
    that the older part does not hold it.
    """

    __slots__ = ("_added", "_answers", "_carried", "_older", "_whole")

    def __init__(self, known: Mapping[K, V] | None = None, older: Older | None = None,
                 answers: Callable[[K], bool] | None = None) -> None:
        self._older, self._answers = older if older is not None and older.number else None, answers
        self._carried: Mapping[K, V] = {} if self._older is None or known is None else known
        self._added: dict[K, V] = {} if self._older is not None or not known else dict(known)
        self._whole: dict[K, V] | None = self._added if self._older is None else None

    @property
    def older(self) -> Older | None:
        """What is not at hand from the start, None where all is."""
        return self._older

    @property
    def added(self) -> dict[K, V]:
        """What came after the older part; all of it where nothing is older."""
        return self._added

    def copy(self) -> Lookup[K, V]:
        """Another one of the same items, which grows by itself."""
        made: Lookup[K, V] = Lookup()
        made._carried, made._added = self._carried, self._added.copy()
        made._older, made._answers = self._older, self._answers
        made._whole = made._added if self._older is None else None
        return made

    def whole(self) -> dict[K, V]:
        """All of it, the older part fetched now if it was not at hand."""
        if self._whole is None:
            assert self._older is not None
            self._whole = {**self._older.fetch(), **self._added}
        return self._whole

    def known_values(self) -> list[V]:
        """The values at hand, in order."""
        if self._older is None:
            return list(self._added.values())
        return list({**self._carried, **self._added}.values())

    def known_items(self) -> Mapping[K, V]:
        """The items at hand, in order."""
        return self._added if self._older is None else {**self._carried, **self._added}

    def since(self, first: K) -> dict[K, V]:
        """The items whose keys are not below `first`, of keys that are days."""
        items = self.whole() if self._older is not None and not (self._answers and self._answers(first)) else \
            self.known_items()
        return {key: value for key, value in items.items() if key >= first}  # type: ignore[operator]

    @overload  # type: ignore[override]
    def get(self, key: K) -> V | None: ...

    @overload
    def get(self, key: K, default: V) -> V: ...

    def get(self, key: K, default: V | None = None) -> V | None:
        found = self._added.get(key)
        if found is None and self._older is not None:
            found = self._carried.get(key)
            if found is None and not (self._answers is not None and self._answers(key)):
                return self.whole().get(key, default)
        return default if found is None else found

    def __getitem__(self, key: K) -> V:
        found = self.get(key)
        if found is None:
            raise KeyError(key)
        return found

    def __contains__(self, key: object) -> bool:
        return self.get(key) is not None  # type: ignore[arg-type]

    def __setitem__(self, key: K, value: V) -> None:
        self._added[key] = value
        if self._whole is not None:
            self._whole[key] = value

    def __delitem__(self, key: K) -> None:
        raise TypeError("nothing is taken out of a history")

    def __iter__(self) -> Iterator[K]:
        return iter(self.whole())

    def __len__(self) -> int:
        return len(self.whole())

    def items(self) -> Any:
        return self.whole().items()

    def values(self) -> Any:
        return self.whole().values()

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Lookup):
            return self is other or self.whole() == other.whole()
        return self.whole() == other

    def __hash__(self) -> int:
        return id(self)

    def __repr__(self) -> str:
        return repr(self.whole())


def known(items: Sequence[T]) -> Sequence[T]:
    """The part of a history that is at hand; of a plain list all of it."""
    return items.known if isinstance(items, History) else items


def older_of(items: object) -> Older | None:
    """What is not at hand of a history from the start, None where all is."""
    return items.older if isinstance(items, (History, Lookup)) else None


def newest_first(items: Sequence[T], since: date | datetime) -> Iterator[T]:
    """The items of `since` or later, the latest first, and some before them."""
    return items.newest_first(since) if isinstance(items, History) else reversed(items)
