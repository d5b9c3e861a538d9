"""Rounds of practice of a change of shapes, and the file that they are kept in.

The file stands beside the notebook, ``my-changes.jsonl``: its first line says what it is, and every
other line is one round, as JSON.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place
from harmonykit.files import decode, read_bytes
from harmonykit.files.lock import append
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.theme import instrument_of

SLOWEST, FASTEST = 30, 240
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
