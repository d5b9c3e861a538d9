"""What is asked today: ten questions that begin where the reader stands, by what was read.

First comes what is due, the weakest of it before all else; then what is new, kind after kind, from
the easiest on.  Nothing is asked that no notebook which was read, no idea and no lesson has taught.

What was read is ticked, and kept in ``my-reading.json`` beside the notebooks.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files import read_text, write_whole
from harmonykit.practice.kinds import KINDS, USUAL, ask
from harmonykit.practice.memory import remember, weakest
from harmonykit.practice.question import LEVELS, Chance, Question, Spec, item_name, read_item
from harmonykit.practice.sitting import Answered, standings_of
from harmonykit.practice.theme import EVERYTHING, Theme

TEN = 10
TITLES = {
    "00": "Start here",
    "01": "Diminished symmetry",
    "02": "Four dominants",
    "03": "Sixth-diminished scale",
    "04": "Voice-leading distances",
    "10": "Find ideas",
}
"""The notebooks that teach something which is asked about, with short titles."""
NOTEBOOKS = tuple(TITLES)
_TRIES = 40


def reached(read: Iterable[str], theme: Theme = EVERYTHING) -> tuple[str, ...]:
    """Return the kinds of exercise that notebooks, or a lesson or an idea, have taught.

    Parameters
    ----------
    read : iterable of str
        The notebooks that were read: ``["01", "02_four_parents"]``.
    theme : Theme, optional
        That of a lesson or an idea, which teaches its own kinds.

    Returns
    -------
    tuple of str

    Raises
    ------
    HarmonyError
        If there is no such notebook.

    Examples
    --------
    >>> hk.practice.reached(["00"])
    ('shape', 'quality', 'function')
    >>> "parents" in hk.practice.reached(["00", "02"])
    True
    """
    numbers = [each.partition("_")[0] for each in read]
    for number in numbers:
        if not (number.isascii() and number.isdigit() and len(number) == 2):
            raise HarmonyError(f"{number!r} is not a notebook", mend=", ".join(NOTEBOOKS))
    taught = tuple(name for name, kind in KINDS.items() if kind.taught in numbers)
    own = theme.kinds or (USUAL if theme.title else ())
    return tuple(dict.fromkeys((*own, *(taught if not theme.title else ()))))


def daily(
    answers: Sequence[Answered],
    today: date,
    read: Iterable[str] = NOTEBOOKS,
    theme: Theme = EVERYTHING,
    count: int = TEN,
) -> tuple[str, ...]:
    """Return the items to be asked on a day, in their order.

    Parameters
    ----------
    answers : sequence of Answered
        All that was answered so far.
    today : date
    read : iterable of str
        The notebooks that were read.
    theme : Theme, optional
        That of a lesson or an idea.
    count : int

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from datetime import date
    >>> hk.practice.daily([], date(2031, 5, 4), read=["02"], count=3)
    ('parents: Bdim7: words', 'targets: Bdim7: clock', 'parents: C#dim7: clock')
    """
    kinds = reached(read, theme)
    found = remember(answers, today)
    due = [each.item for each in weakest(found, today) if read_item(each.item)[0] in kinds]
    taken = due[:count]
    for item in _new(kinds, theme, answers, {*found}):
        if len(taken) >= count:
            break
        taken.append(item)
    return _apart(taken)


def _new(
    kinds: Sequence[str], theme: Theme, answers: Sequence[Answered], known: set[str]
) -> Iterator[str]:
    """Give what was never asked, kind after kind in turn, the easiest of each first."""
    standings = standings_of(answers)
    rows = []
    for name in kinds:
        level = standings[name].level if name in standings else 1
        rows.append(_of_kind(name, level, theme, known))
    while rows:
        left = []
        for row in rows:
            item = next(row, None)
            if item is not None:
                yield item
                left.append(row)
        rows = left


def _of_kind(name: str, level: int, theme: Theme, known: set[str]) -> Iterator[str]:
    """Give the items of a kind, each in another medium than the one before."""
    kind = KINDS[name]
    start = list(KINDS).index(name)
    for lap in range(len(kind.media)):
        for place, about in enumerate(kind.pool(theme, level)):
            medium = kind.media[(start + place + lap) % len(kind.media)]
            item = item_name(name, about, medium)
            if item not in known and asked_about(item, "new", 1, level, theme) is not None:
                yield item


def _apart(items: Sequence[str]) -> tuple[str, ...]:
    """Return items in an order in which none asks about the same as the one before, if it can."""
    left, row = list(items), list[str]()
    while left:
        before = read_item(row[-1])[:2] if row else ("", "")
        place = next(
            (
                n
                for n, item in enumerate(left)
                if read_item(item)[0] != before[0] and read_item(item)[1] != before[1]
            ),
            0,
        )
        row.append(left.pop(place))
    return tuple(row)


def asked_about(
    item: str, seed: str, number: int, level: int, theme: Theme = EVERYTHING
) -> Question | None:
    """Return a question on an item, at the level or the nearest one that has it, or none.

    Parameters
    ----------
    item : str
        As ``"parents: Bdim7: ear"``.
    seed : str
    number : int
    level : int in 1..4
    theme : Theme, optional

    Returns
    -------
    Question or None

    Examples
    --------
    >>> asked = hk.practice.asked_about("targets: Bdim7: words", "quay", 1, 2)
    >>> print(asked.text if asked else "")
    As a dominant, where does B°7 resolve? Name the four roots.
    """
    kind, about, medium = read_item(item)
    if kind not in KINDS or medium not in KINDS[kind].media:
        return None
    narrow = replace(theme, about=about)
    for each in (*range(level, 0, -1), *range(level + 1, LEVELS + 1)):
        try:
            return ask(Spec(seed, number, kind, medium, each), narrow)
        except HarmonyError:
            continue
    return None


def contrast(
    item: str, pair: tuple[str, str], seed: str, level: int, theme: Theme = EVERYTHING
) -> Question | None:
    """Return a question that is answered by one of two that were taken for each other, or none.

    Parameters
    ----------
    item : str
    pair : tuple of str and str
        As ``Confusion.wanted`` and ``Confusion.given``.
    seed : str
    level : int in 1..4
    theme : Theme, optional

    Returns
    -------
    Question or None

    Examples
    --------
    >>> asked = hk.practice.contrast("parents: Bdim7: ear", ("G7", "E7"), "quay", 1)
    >>> asked and (asked.answer in ("G7", "E7"), asked.text.endswith("It is G7 or E7."))
    (True, True)
    """
    chance = Chance(f"{seed}/{item}/{pair}")
    for number in chance.shuffled(range(1, _TRIES + 1)):
        asked = asked_about(item, f"{seed}.{number}", number, level, theme)
        if asked is not None and asked.answer in pair and asked.form in _SAYABLE:
            first, second = (each.replace("b", "♭").replace("#", "♯") for each in pair)
            return replace(asked, text=f"{asked.text} It is {first} or {second}.", choices=pair)
    return None


_SAYABLE = ("chords", "notes", "move", "number")


READ_FILE = "my-reading.json"
FIRST = NOTEBOOKS[0]
"""The notebook from which questions come while none is ticked."""
FORMAT = 1
_HEAD = {"format": FORMAT, "made_by": "harmonykit", "kind": "reading"}
_MOST_BYTES = 100_000


def read_so_far(folder: str | Path) -> tuple[str, ...] | None:
    """Return the notebooks that were ticked, by their numbers; None where nothing is kept yet.

    Parameters
    ----------
    folder : str or Path
        Where the file is.

    Returns
    -------
    tuple of str or None

    Raises
    ------
    HarmonyError
        If the file cannot be read, or is of something else.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> folder = mkdtemp()
    >>> keep_read(folder, ["02", "00"])
    >>> read_so_far(folder)
    ('00', '02')
    """
    path = Path(folder) / READ_FILE
    if not path.exists():
        return None
    try:
        values: Any = json.loads(read_text(path, _MOST_BYTES))
    except (ValueError, RecursionError):
        values = None
    found = values if isinstance(values, dict) else {}
    numbers = found.get("read")
    if not isinstance(numbers, list) or any(found.get(name) != _HEAD[name] for name in _HEAD):
        raise HarmonyError(
            f"{path.name} does not say which notebooks were read",
            mend="move it away, and tick them again",
        )
    return _known(numbers)


def keep_read(folder: str | Path, numbers: Iterable[str]) -> None:
    """Keep which notebooks were read.

    Parameters
    ----------
    folder : str or Path
        Where the file is made.
    numbers : iterable of str
        Their numbers: ``["00", "02"]``.

    Raises
    ------
    HarmonyError
        If the file cannot be written.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> folder = mkdtemp()
    >>> keep_read(folder, [])
    >>> read_so_far(folder)
    ()
    """
    values = {**_HEAD, "read": list(_known(numbers))}
    write_whole(Path(folder) / READ_FILE, (json.dumps(values) + "\n").encode())


def _known(numbers: Iterable[object]) -> tuple[str, ...]:
    """Return those that teach something, in their order; others may be of a later version."""
    given = {str(each).partition("_")[0] for each in numbers}
    return tuple(number for number in NOTEBOOKS if number in given)
