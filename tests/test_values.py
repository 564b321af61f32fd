"""Value classes against the standard library's dataclasses: the same class written both ways does the same."""

from __future__ import annotations

import copy
import dataclasses
import pickle
import typing
from collections.abc import Callable
from datetime import date
from typing import Any, ClassVar

import pytest

from gwlog import values
from gwlog.journal.facts import KINDS, ValveSwitch
from gwlog.state import State


def written(dataclass: Callable[..., Callable[[type], type]], field: Callable[..., Any]) -> dict[str, Any]:
    """A few classes made with one of the two."""
    @dataclass(frozen=True, slots=True)
    class Point:
        """Two numbers."""

        AXES: ClassVar[int] = 2
        x: int
        y: int = 7

        @property
        def sum(self) -> int:
            return self.x + self.y

    @dataclass(frozen=True, slots=True)
    class Named(Point):
        y: int = 8
        names: tuple[str, ...] = ()
        aside: int = field(default=0, compare=False, repr=False)

    @dataclass(frozen=True, slots=True, kw_only=True, eq=False)
    class Loose:
        b: date | None = None
        a: str

    @dataclass(slots=True)
    class Basket:
        things: list[int] = field(default_factory=list)
        secret: str = field(default="s", repr=False)

    @dataclass(frozen=True, slots=True)
    class Checked:
        share: float

        def __post_init__(self) -> None:
            if self.share < 0:
                raise ValueError(self.share)

    @dataclass(frozen=True, slots=True)
    class Own:
        word: str

        def __eq__(self, other: object) -> bool:
            return isinstance(other, type(self)) and other.word.casefold() == self.word.casefold()

        def __repr__(self) -> str:
            return f"<{self.word}>"

    return {made.__name__: made for made in (Point, Named, Loose, Basket, Checked, Own)}


OURS = written(values.dataclass, values.field)
THEIRS = written(dataclasses.dataclass, dataclasses.field)


def outcome(do: Callable[[dict[str, Any]], object], classes: dict[str, Any]) -> object:
    """What it gives, in words, or which error it is."""
    try:
        return repr(do(classes))
    except Exception as error:
        return type(error)


@pytest.mark.parametrize("do", [
    lambda c: c["Point"](1), lambda c: c["Point"](y=2, x=1), lambda c: c["Point"](), lambda c: c["Point"](1, 2, 3),
    lambda c: c["Point"](1, z=2), lambda c: c["Point"](1).sum, lambda c: c["Point"].AXES, lambda c: c["Point"].__doc__,
    lambda c: c["Point"](1) == c["Point"](1, 7), lambda c: c["Point"](1) == c["Point"](2), lambda c: c["Point"](1) == 1,
    lambda c: hash(c["Point"](1)) == hash(c["Point"](1, 7)), lambda c: hash(c["Point"](1)) == hash((1, 7)),
    lambda c: setattr(c["Point"](1), "x", 2), lambda c: c["Point"](1).z,
    lambda c: delattr(c["Point"](1), "x"), lambda c: c["Point"].__match_args__, lambda c: c["Point"].__slots__,
    lambda c: c["Named"](1), lambda c: c["Named"](1, aside=4) == c["Named"](1, aside=5),
    lambda c: c["Named"](1, 2, ("a",)), lambda c: c["Named"](1) == c["Point"](1, 8),
    lambda c: c["Named"].__slots__, lambda c: c["Named"].__match_args__, lambda c: c["Named"].__mro__[1] is c["Point"],
    lambda c: c["Loose"](a="a"), lambda c: c["Loose"]("a"), lambda c: c["Loose"](), lambda c: c["Loose"].__match_args__,
    lambda c: c["Loose"](a="a") == c["Loose"](a="a"), lambda c: len({c["Loose"](a="a"), c["Loose"](a="a")}),
    lambda c: c["Basket"](), lambda c: c["Basket"]().things is c["Basket"]().things, lambda c: c["Basket"]([1], "t"),
    lambda c: hash(c["Basket"]()), lambda c: setattr(c["Basket"](), "things", []), lambda c: c["Basket"]().secret,
    lambda c: c["Basket"]() == c["Basket"](secret="t"), lambda c: c["Checked"](-1.0), lambda c: c["Checked"](0.5),
    lambda c: c["Checked"](float("nan")), lambda c: hash(c["Checked"](0.5)) == hash((0.5,)),
    lambda c: c["Own"]("a") == c["Own"]("A"), lambda c: c["Own"]("a"), lambda c: hash(c["Own"]("a")),
    lambda c: dataclasses.replace(c["Named"](1), x=3), lambda c: dataclasses.asdict(c["Named"](1, names=("n",))),
    lambda c: dataclasses.astuple(c["Basket"]([1])), lambda c: dataclasses.is_dataclass(c["Point"]),
    lambda c: dataclasses.replace(c["Point"](1), z=3), lambda c: copy.copy(c["Named"](1)),
    lambda c: [(part.name, part.type, part.kw_only) for part in dataclasses.fields(c["Named"])],
    lambda c: [(part.name, part.type, part.kw_only) for part in dataclasses.fields(c["Loose"])],
    lambda c: copy.deepcopy(c["Basket"]([1])).things, lambda c: copy.deepcopy(c["Named"](1)),
])
def test_a_value_class_does_what_the_standard_librarys_does(do: Callable[[dict[str, Any]], object]) -> None:
    theirs = outcome(do, THEIRS)
    assert outcome(do, OURS) == theirs
    assert outcome(do, OURS) == theirs   # the first call writes the class's __init__


def test_fields_and_replace_do_too() -> None:
    made = OURS["Named"](1, names=("n",))
    assert [(part.name, part.type) for part in values.fields(made)] == \
        [(part.name, part.type) for part in dataclasses.fields(THEIRS["Named"](1))]
    assert values.replace(made, x=2) == OURS["Named"](2, names=("n",))
    with pytest.raises(TypeError, match="Named"):
        values.replace(made, z=2)


def test_every_kind_of_entry_says_its_fields_to_the_standard_library() -> None:
    for kind in KINDS.values():
        assert [one.name for one in dataclasses.fields(kind)] == [one.name for one in values.fields(kind)]
    assert [one.name for one in dataclasses.fields(State)] == [one.name for one in values.fields(State)]


def test_an_entry_can_be_pickled_and_matched() -> None:
    from gwlog.clock import now

    entry = ValveSwitch(happened_at=now(), zone="UTC", position="garden")
    assert pickle.loads(pickle.dumps(entry)) == entry
    match OURS["Point"](1):
        case object(x=1, y=seven):
            assert seven == 7


def test_a_default_that_could_be_changed_is_refused() -> None:
    plain = type("Bag", (), {"__annotations__": {"things": "list[int]"}, "things": []})
    with pytest.raises(ValueError, match="things"):
        values.dataclass(slots=True)(plain)


def test_a_named_tuple_is_what_the_standard_librarys_is() -> None:
    def written_with(base: Any) -> Any:
        class Pair(base):  # type: ignore[misc]
            """Two words."""

            first: str
            second: str = "b"

            @property
            def both(self) -> str:
                return self.first + self.second

            def turned(self) -> Any:
                return self._replace(first=self.second, second=self.first)

        return Pair

    ours, theirs = written_with(values.NamedTuple), written_with(typing.NamedTuple)
    for do in (lambda kind: kind("a"), lambda kind: kind("a").both, lambda kind: kind("a").turned(),
               lambda kind: kind(),
               lambda kind: kind("a", "c") == ("a", "c"), lambda kind: kind._fields, lambda kind: kind.__doc__,
               lambda kind: kind._field_defaults, lambda kind: kind("a")._asdict(), lambda kind: kind.__module__,
               lambda kind: kind.__qualname__, lambda kind: kind.__mro__[1], lambda kind: kind("a").__class__ is kind,
               lambda kind: setattr(kind("a"), "first", "b"), lambda kind: setattr(kind("a"), "third", "b"),
               lambda kind: kind.__annotations__.keys()):
        assert outcome(do, ours) == outcome(do, theirs)
