"""What was worked out or drawn for a page, remembered: as long as there is room, or once."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

from harmonykit.errors import HarmonyError

V = TypeVar("V")
# A class has six levels at most, and a teacher tries some of each.
REMEMBERED = 24


class Bounded(Generic[V]):
    """A memory that forgets what was not asked for the longest; threads may share it."""

    def __init__(self, most: int = REMEMBERED) -> None:
        self._most = most
        self._known: OrderedDict[Hashable, V] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> V | None:
        """Return what is remembered, if it is."""
        with self._lock:
            found = self._known.get(key)
            if found is not None:
                self._known.move_to_end(key)
            return found

    def put(self, key: Hashable, value: V) -> V:
        """Remember a value, and return it."""
        with self._lock:
            self._known[key] = value
            while len(self._known) > self._most:
                self._known.popitem(last=False)
            return value


def had(memory: Bounded[V | HarmonyError], key: Hashable, make: Callable[[], V]) -> V:
    """Return what is remembered, or else made; that it could not be made is remembered too."""
    known = memory.get(key)
    if known is None:
        try:
            known = make()
        except HarmonyError as error:
            known = error
        memory.put(key, known)
    if isinstance(known, HarmonyError):
        raise known
    return known


class Once:
    """Remembers one value for each name, and makes it anew only where it follows from another key.

    Examples
    --------
    >>> regions = Once()
    >>> regions.get("table", 1, lambda: "drawn"), regions.get("table", 1, lambda: "drawn anew")
    ('drawn', 'drawn')
    >>> regions.get("table", 2, lambda: "drawn anew")
    'drawn anew'
    """

    def __init__(self) -> None:
        self._made: dict[str, tuple[Hashable, Any]] = {}

    def get(self, name: str, key: Hashable, make: Callable[[], V]) -> V:
        """Return what is remembered by a name for a key, or else made.

        Parameters
        ----------
        name : str
        key : hashable
            All that the value follows from.
        make : callable
        """
        known = self._made.get(name)
        if known is None or known[0] != key:
            known = self._made[name] = (key, make())
        value: V = known[1]
        return value
