"""Our dataclasses against those of the standard library: the same classes made by both."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
import re
import sys
import threading
from collections.abc import Callable
from functools import partial
from itertools import product
from types import ModuleType
from typing import Any, NamedTuple

import pytest

from harmonykit import values

FROZEN = {"frozen": True, "slots": True}
SETTINGS: tuple[dict[str, bool], ...] = (
    FROZEN, FROZEN | {"repr": False}, FROZEN | {"eq": False}, {"frozen": True}, {"slots": True},
    {"slots": True, "eq": False}, {}, FROZEN | {"order": True}, FROZEN | {"init": False},
    FROZEN | {"kw_only": True},
)  # fmt: skip
SOURCE = '''
from collections.abc import Mapping
from functools import cached_property
from typing import ClassVar
class Bare:
    """Without a field."""
class Plain:
    """Fields with and without defaults."""
    root: int
    name: str = "x"
    notes: tuple[int, ...] = ()
    most: ClassVar[int] = 12
    @property
    def twice(self) -> int:
        return 2 * self.root
class Undocumented:
    root: int
class Fields:
    """Every setting of a field."""
    root: int
    said: str = field(default="a", compare=False)
    kept: list[int] = field(default_factory=list, repr=False, compare=False)
    own: list[int] = field(default_factory=list, init=False, repr=False, compare=False)
    six: int = field(default=6, init=False)
    heard: str = field(default="h", hash=False, metadata={"about": "sound"})
    seen: str = field(kw_only=True, default="s")
class Checked:
    """Told when it is made."""
    root: int
    top: int = 0
    def __post_init__(self) -> None:
        if self.root > 11:
            raise ValueError("twelve notes")
        object.__setattr__(self, "top", self.root + 1)
class Own:
    """Its own methods stay."""
    root: int
    def __repr__(self) -> str:
        return "Own!"
    def __eq__(self, other: object) -> bool:
        return isinstance(other, Own)
    def __hash__(self) -> int:
        return 5
class OwnEqual:
    """Equal by its own rule, and hashed by its fields."""
    root: int
    def __eq__(self, other: object) -> bool:
        return True
class Held(NoFields):
    """Heir of what has methods and no field."""
    root: int
    right: "Plain | None" = None
class OwnInit:
    """Made its own way."""
    root: int
    def __init__(self, text: str) -> None:
        object.__setattr__(self, "root", len(text))
'''
GIVEN: dict[str, tuple[tuple[tuple[Any, ...], dict[str, Any]], ...]] = {
    "Bare": (((), {}), ((), {}), ((1,), {})),
    "Plain": (
        ((1,), {}), ((1, "x"), {}), ((1, "y", (3,)), {}), ((), {"root": 2, "notes": (4,)}),
        ((), {}), ((1, 2, 3, 4), {}), ((1,), {"root": 1}), ((1,), {"tone": 1}),
    ),
    "Undocumented": (((1,), {}), ((2,), {})),
    "Fields": (
        ((1,), {}), ((1, "b", [1]), {}), ((1,), {"heard": "x"}), ((1,), {"seen": "t"}),
        ((1, "b", [1], "h", "s"), {}), ((1,), {"six": 6}),
    ),
    "Checked": (((1,), {}), ((12,), {}), ((1, 5), {})),
    "Own": (((1,), {}), ((2,), {})),
    "OwnEqual": (((1,), {}), ((2,), {})),
    "Held": (((1,), {}), ((1, None), {}), ((1, 2), {})),
    "OwnInit": ((("abc",), {}), ((), {})),
}  # fmt: skip


class NoFields:
    """Has slots of its own, and nothing in them."""

    __slots__ = ()

    def told(self) -> str:
        return repr(self)


def made(maker: Callable[..., Any], name: str, settings: dict[str, bool]) -> ModuleType:
    """Return a module in which each class of the source was made a dataclass."""
    module = ModuleType(name)
    sys.modules[name] = module
    vars(module).update(field=dataclasses.field, NoFields=NoFields)
    mark = f"@dataclass(**{settings!r})\nclass "
    vars(module)["dataclass"] = maker
    exec(
        "from __future__ import annotations\n" + SOURCE.replace("\nclass ", f"\n{mark}"),
        vars(module),
    )
    return module


class Both(NamedTuple):
    ours: Any
    theirs: Any


@pytest.fixture(scope="module", params=SETTINGS, ids=str)
def both(request: pytest.FixtureRequest) -> Any:
    try:
        ours = made(values.dataclass, "made_by_us", request.param)
        theirs = made(dataclasses.dataclass, "made_by_them", request.param)
        yield Both(ours, theirs)
    finally:
        for name in ("made_by_us", "made_by_them"):
            sys.modules.pop(name, None)


def outcome(work: Callable[[], object]) -> object:
    """Return what comes of work as text, also an error, and nothing of where classes stand."""
    try:
        return _WHERE.sub("", repr(work()))
    except Exception as error:  # noqa: BLE001
        return type(error).__name__, _WHERE.sub("", str(error))


_WHERE = re.compile(r"made_by_(us|them)\.| at 0x[0-9a-f]+")


SIGNED = ("__init__", "__eq__", "__hash__", "__repr__", "__setattr__", "__delattr__")


def shape(kind: Any) -> list[object]:
    """Return all that can be asked of a class without an instance."""
    said = kind.__dataclass_params__
    return [
        kind.__name__, kind.__qualname__, kind.__bases__, kind.__match_args__,
        vars(kind).get("__slots__"), [repr(each) for each in dataclasses.fields(kind)],
        [getattr(said, name) for name in ("init", "repr", "eq", "order", "frozen")],
        sorted(kind.__dataclass_fields__), str(inspect.signature(kind)), kind.__hash__ is None,
        [name in vars(kind) for name in (*SIGNED, "__getstate__", "__setstate__", "__dict__")],
        outcome(lambda: kind.__init__.__annotations__),
        outcome(lambda: kind.__init__.__globals__["__name__"] == kind.__module__),
        [getattr(kind, name).__qualname__ for name in SIGNED if vars(kind).get(name)],
    ]  # fmt: skip


@pytest.mark.parametrize("name", GIVEN)
def test_a_class_is_what_the_library_makes_of_it(both: Both, name: str) -> None:
    ours, theirs = (getattr(each, name) for each in both)
    assert outcome(lambda: shape(ours)) == outcome(lambda: shape(theirs))
    if name != "Undocumented":
        assert ours.__doc__ == theirs.__doc__


DONE: tuple[Callable[[Any, Any], object], ...] = (
    lambda one, other: (one == other, one != other, one == 1, one.__eq__(1)),
    lambda one, other: (hash(one) == hash(other), hash(one) == hash(copy.copy(one))),
    lambda one, other: {one: 1}[other],
    lambda one, other: (one < other, one >= other),
    lambda one, _: one == pickle.loads(pickle.dumps(one)) == copy.deepcopy(one),  # noqa: S301
    lambda one, _: one.__getstate__(),
    lambda one, _: (dataclasses.asdict(one), dataclasses.astuple(one)),
    lambda one, _: (dataclasses.replace(one), dataclasses.replace(one, root=3)),
    lambda one, _: setattr(one, dataclasses.fields(one)[0].name, 2),
    lambda one, _: delattr(one, dataclasses.fields(one)[0].name),
)


@pytest.mark.parametrize("name", GIVEN)
def test_values_do_what_those_of_the_library_do(both: Both, name: str) -> None:
    ours, theirs = (getattr(each, name) for each in both)
    for places, named in GIVEN[name]:
        found = outcome(partial(ours, *places, **named))
        assert found == outcome(partial(theirs, *places, **named))
    made_of = [(p, n) for p, n in GIVEN[name] if isinstance(outcome(partial(ours, *p, **n)), str)]
    for (places, named), (others, by_name) in product(made_of, made_of):
        for do in DONE:
            told = [
                outcome(partial(do, kind(*places, **named), kind(*others, **by_name)))
                for kind in (ours, theirs)
            ]
            assert told[0] == told[1]


def test_a_frozen_value_takes_no_other_name() -> None:
    kind = made(values.dataclass, "made_frozen", FROZEN).Plain  # type: ignore[misc]
    for change in (setattr, lambda one, name, _: delattr(one, name)):
        with pytest.raises(dataclasses.FrozenInstanceError, match="'colour'"):
            change(kind(1), "colour", 2)


def test_heirs_of_a_dataclass_are_dataclasses() -> None:
    @values.dataclass(frozen=True, slots=True)
    class One:
        root: int

    @values.dataclass(frozen=True, slots=True)
    class Two(One):
        top: int = 1

    class Three(One):
        """Has a dictionary, and is no dataclass itself."""

    assert repr(Two(3)).endswith("Two(root=3, top=1)")
    assert Two(3) != One(3) and {Two(3): 1}[Two(3)] == 1
    with pytest.raises(dataclasses.FrozenInstanceError):
        Two(3).root = 4  # type: ignore[misc]
    three = Three(3)
    three.colour = 4  # type: ignore[attr-defined]
    assert three == Three(3) != One(3)
    with pytest.raises(TypeError, match="frozen"):
        values.dataclass(slots=True)(type("Four", (One,), {}))


def test_what_only_the_library_can_do_is_refused() -> None:
    made_of = {"__annotations__": {"root": int, "seed": dataclasses.InitVar[int]}}
    with pytest.raises(TypeError, match="InitVar"):
        values.dataclass(frozen=True)(type("Sown", (), made_of))
    with pytest.raises(TypeError, match="__setattr__"):
        values.dataclass(frozen=True)(type("Set", (), {"__setattr__": object.__setattr__}))


def test_threads_that_make_the_first_values_at_once_make_the_same() -> None:
    for _ in range(20):
        kind = made(values.dataclass, "made_at_once", FROZEN).Fields  # type: ignore[misc]
        gate = threading.Barrier(4)
        found: list[object] = []

        def work(kind: Any = kind, gate: Any = gate, found: Any = found) -> None:
            gate.wait()
            found.append((kind(1), hash(kind(1))))

        threads = [threading.Thread(target=work) for _ in range(4)]
        for each in threads:
            each.start()
        for each in threads:
            each.join()
        assert len(found) == 4
        assert len(set(map(repr, found))) == 1
