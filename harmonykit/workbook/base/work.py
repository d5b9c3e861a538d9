"""Work for a page: done beside it, with progress, to be stopped; and its results, remembered.

Python goes on answering controls while a ``Worker`` works in a thread of its own.  Only what
was asked last counts: asking anew stops what was asked before, and its result is dropped.
"""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

from harmonykit.errors import HarmonyError

R = TypeVar("R")
News = TypeVar("News")
Progress = Callable[[int, int], None]
# A browser needs no more news than the eye can follow.
_SECONDS_BETWEEN_NEWS = 0.1


class Stopped(Exception):
    """Work was stopped; it is raised inside the work, where it tells of its progress."""


class Worker(Generic[R]):
    """Does one piece of work at a time, the one that was asked for last.

    Parameters
    ----------
    done : callable
        Given the result of the work; called in the worker's thread, as are the next two.
    failed : callable
        Given the ``HarmonyError`` that the work raised.
    progress : callable, optional
        Told how many parts are done, and of how many, at most ten times a second.
    stopped : callable, optional
        Called when work has ended because it was stopped, and nothing else was asked.

    Examples
    --------
    >>> results = []
    >>> worker = Worker(results.append, print)
    >>> worker.start(lambda progress: 6 * 7)
    >>> worker.wait(5), results
    (True, [42])
    """

    def __init__(
        self,
        done: Callable[[R], None],
        failed: Callable[[HarmonyError], None],
        progress: Progress | None = None,
        stopped: Callable[[], None] | None = None,
    ) -> None:
        self._done, self._failed = done, failed
        self._progress, self._stopped = progress, stopped
        self._asked = 0
        self._wanted = False
        self._thread: threading.Thread | None = None
        self._lock = threading.RLock()

    @property
    def busy(self) -> bool:
        """Whether work goes on whose result is still wanted."""
        return self._wanted and self._thread is not None and self._thread.is_alive()

    def start(self, work: Callable[[Progress], R]) -> None:
        """Begin a piece of work; it is handed a function to tell its progress to."""
        with self._lock:
            self._asked += 1
            self._wanted = True
            turn, before = self._asked, self._thread
            self._thread = threading.Thread(
                target=self._work, args=(work, turn, before), daemon=True
            )
            self._thread.start()

    def stop(self) -> None:
        """Let the work end where it next tells of its progress; its result is dropped."""
        with self._lock:
            self._wanted = False

    def wait(self, seconds: float | None = None) -> bool:
        """Wait until the work is done; whether it is."""
        with self._lock:  # a thread that is only just made cannot be waited for
            thread = self._thread
        if thread is not None:
            thread.join(seconds)
        return thread is None or not thread.is_alive()

    def _is_wanted(self, turn: int) -> bool:
        return self._wanted and turn == self._asked

    def _work(
        self, work: Callable[[Progress], R], turn: int, before: threading.Thread | None
    ) -> None:
        # One at a time: what went before ends at its next word of progress.
        if before is not None:
            before.join()
        if not self._is_wanted(turn):
            self._end(turn)
            return
        try:
            result = work(self._teller(turn))
        except Stopped:
            self._end(turn)
        except HarmonyError as error:
            self._hand_on(turn, self._failed, error)
        except Exception as error:
            # A fault of ours: the page must not wait for ever, and the traceback must be seen.
            what = f"the work stopped ({type(error).__name__}: {error})"
            self._hand_on(turn, self._failed, HarmonyError(what))
            raise
        else:
            self._hand_on(turn, self._done, result)

    def _hand_on(self, turn: int, listener: Callable[[News], None], news: News) -> None:
        """Tell what came out, unless something else was asked meanwhile."""
        with self._lock:
            if self._is_wanted(turn):
                self._wanted = False
                listener(news)
                return
        self._end(turn)

    def _end(self, turn: int) -> None:
        with self._lock:
            if turn == self._asked and self._stopped is not None:
                self._stopped()

    def _teller(self, turn: int) -> Progress:
        last = 0.0

        def tell(done: int, total: int) -> None:
            nonlocal last
            if not self._is_wanted(turn):
                raise Stopped
            now = time.monotonic()
            if self._progress is not None and (now - last > _SECONDS_BETWEEN_NEWS or done == total):
                last = now
                self._progress(done, total)

        return tell


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
