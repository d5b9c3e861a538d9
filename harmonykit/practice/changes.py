"""Changes of shapes, practised at a rising tempo: a hand is not a flash card.

A change has a scale of its own: the best tempo at which it was clean, and the days since.  It is
practised as a loop of two bars, a bar of each shape: two clean rounds in a row lead on to a higher
tempo, one that was not clean leads back (common practice, no source).  What was practised is kept,
minute by minute, in a file beside the notebook, ``my-changes.jsonl``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place
from harmonykit.files import decode, read_bytes
from harmonykit.files.lock import append
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.theme import Theme, instrument_of

START, SLOWEST, FASTEST = 50, 30, 240
CLEAN_IN_A_ROW = 2
_UP, _DOWN, _LEAST = 0.08, 0.12, 2
_HEAD = {"format": 1, "made_by": "harmonykit", "kind": "changes"}
_MOST_BYTES = 16_000_000


@dataclass(frozen=True, slots=True)
class Round:
    """One round of practice of a change.

    Parameters
    ----------
    at : str
        Local date and time, as ISO 8601 writes them.
    instrument : str
    before, after : str
        The two shapes: ``"2-2-2-3"``.
    tempo : int
        Quarters a minute.
    clean : bool
        Whether every note sounded, in time.
    seconds : int
        How long it was practised.
    """

    at: str
    instrument: str
    before: str
    after: str
    tempo: int
    clean: bool
    seconds: int

    @property
    def change(self) -> tuple[str, str, str]:
        """Which change it is: a loop goes both ways."""
        one, other = sorted((self.before, self.after))
        return self.instrument, one, other


@dataclass(frozen=True, slots=True)
class ChangeStanding:
    """How one stands with a change.

    Parameters
    ----------
    before, after : str
    best : int
        The best tempo at which it was clean; 0 for none.
    days : int or None
        Days since it was practised; None for never.
    tempo : int
        At which the next round is to be.
    minutes : float
        How long it was practised in all.
    """

    before: str
    after: str
    best: int
    days: int | None
    tempo: int
    minutes: float


def next_tempo(rounds: Sequence[Round]) -> int:
    """Return the tempo of the next round of one change.

    Parameters
    ----------
    rounds : sequence of Round
        Those of this change, in their order.

    Returns
    -------
    int
        Quarters a minute, an even number.

    Examples
    --------
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 30)
    >>> [hk.practice.next_tempo(rounds) for rounds in ([], [one], [one, one])]
    [50, 60, 64]
    """
    if not rounds:
        return START
    last = rounds[-1]
    if not last.clean:
        return _even(last.tempo - max(_LEAST, last.tempo * _DOWN))
    row = rounds[-CLEAN_IN_A_ROW:]
    sure = len(row) == CLEAN_IN_A_ROW and all(r.clean and r.tempo == last.tempo for r in row)
    return _even(last.tempo + max(_LEAST, last.tempo * _UP)) if sure else last.tempo


def _even(tempo: float) -> int:
    return min(FASTEST, max(SLOWEST, 2 * round(tempo / 2)))


def change_standings(
    rounds: Iterable[Round], changes: Iterable[tuple[str, str]], instrument: str, today: date
) -> tuple[ChangeStanding, ...]:
    """Return how one stands with some changes: what was let lie longest and is slowest first.

    Parameters
    ----------
    rounds : iterable of Round
    changes : iterable of tuple
        Two shapes each.
    instrument : str
    today : date

    Returns
    -------
    tuple of ChangeStanding

    Examples
    --------
    >>> from datetime import date
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 90)
    >>> pairs = [("0-2-1-2", "2-2-2-3")]
    >>> found, = hk.practice.change_standings([one], pairs, "ukulele", date(2031, 5, 6))
    >>> found.best, found.days, found.minutes
    (60, 2, 1.5)
    """
    every = list(rounds)
    found = []
    for before, after in changes:
        key = (instrument, *sorted((before, after)))
        own = [each for each in every if each.change == key]
        found.append(
            ChangeStanding(
                before,
                after,
                max((each.tempo for each in own if each.clean), default=0),
                max(0, (today - _day(own[-1], today)).days) if own else None,
                next_tempo(own),
                sum(each.seconds for each in own) / 60,
            )
        )
    return tuple(
        sorted(found, key=lambda each: (each.days is not None, -(each.days or 0), each.best))
    )


def _day(each: Round, today: date) -> date:
    try:
        return min(today, datetime.fromisoformat(each.at).date())
    except ValueError:
        return today


def changes_of(theme: Theme, level: int = 1) -> tuple[tuple[str, str], ...]:
    """Return the changes between shapes that a lesson asks of the hand: the nearest of each two.

    Parameters
    ----------
    theme : Theme
    level : int in 1..4

    Returns
    -------
    tuple of tuple of str and str

    Examples
    --------
    >>> hk.practice.changes_of(hk.practice.Theme(pairs=("C6>G7",)))
    (('0-0-0-0', '0-2-1-2'),)
    """
    from harmonykit.fretboard.hands.travel import travel_mm
    from harmonykit.practice.shapes import shapes_of

    found = []
    for before, after in theme.changes(level):
        limits = theme.limits(level)
        starts = shapes_of(before.over(None), theme.neck, limits)
        ends = shapes_of(after.over(None), theme.neck, limits)
        if starts and ends:
            start = starts[0]
            end = min(ends, key=lambda shape: travel_mm(start, shape))
            found.append((start.digits, end.digits))
    return tuple(dict.fromkeys(found))


def keep_round(path: str | Path, practised: Round) -> None:
    """Add a round to a file, which is made with the first.

    Parameters
    ----------
    path : str or Path
    practised : Round

    Raises
    ------
    HarmonyError
        If its shapes or its tempo cannot be, or nothing can be written.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> file = mkdtemp() + "/my-changes.jsonl"
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 90)
    >>> hk.practice.keep_round(file, one)
    >>> hk.practice.read_rounds(file) == (one,)
    True
    """
    neck = instrument_of(practised.instrument)
    for shape in (practised.before, practised.after):
        Voicing.parse(shape, neck)
    if not SLOWEST <= practised.tempo <= FASTEST or practised.seconds < 0:
        raise HarmonyError(
            f"a tempo of {practised.tempo} is out of range", rule=f"{SLOWEST} to {FASTEST}"
        )
    append(Path(path), _line(_HEAD), _line(asdict(practised)), _is_whole)


def _line(values: dict[str, Any]) -> bytes:
    return (json.dumps(values, ensure_ascii=False) + "\n").encode()


def _is_whole(tail: bytes) -> bool:
    try:
        values = json.loads(tail)
    except ValueError:
        return False
    return values == _HEAD or _read(values) is not None


def _read(values: object) -> Round | None:
    names = {each.name: str(each.type) for each in fields(Round)}
    if not isinstance(values, dict) or set(values) != set(names):
        return None
    kinds = {"str": str, "int": int, "bool": bool}
    if any(type(values[name]) is not kinds[kind] for name, kind in names.items()):
        return None
    return Round(**values)


def read_rounds(path: str | Path) -> tuple[Round, ...]:
    """Return the rounds that a file holds; none where there is no file yet.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    tuple of Round

    Raises
    ------
    HarmonyError
        If the file is of a later format, of something else, or broken within.

    Examples
    --------
    >>> hk.practice.read_rounds("not-yet-there.jsonl")
    ()
    """
    path = Path(path)
    if not path.exists():
        return ()
    whole, _, torn = read_bytes(path, _MOST_BYTES).rpartition(b"\n")
    lines = whole.split(b"\n") if whole else []
    if torn and _is_whole(torn):
        lines.append(torn)
    found = []
    for number, line in enumerate(lines, 1):
        try:
            values = json.loads(decode(line, path.name))
        except (ValueError, RecursionError, HarmonyError):
            values = None
        read = _read(values)
        if number == 1 and values == _HEAD:
            continue
        if number == 1 or read is None:
            raise HarmonyError(
                f"{path} is damaged, or not a file of practised changes",
                place=Place(path.name, number),
                mend="move it away to start a new one; this one stays as it is",
            )
        found.append(read)
    return tuple(found)
