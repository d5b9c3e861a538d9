"""Progress: a small file of the user's own, to which each answer adds a line.

The file stands beside the notebook.  Its first line says what it is, and for whom; every other line
is one answer, as JSON::

    {"format": 2, "made_by": "harmonykit", "kind": "exercises", "for": "", "set": ""}
    {"at": "2031-05-04T17:20:09", "seed": "harbour", "number": 1, "kind": "scale", ...}

A line is written whole, at once, and only then counted, so that a program that dies at any moment
loses at most the line that it was writing: a last line that is torn is left out, said, and cut off
when the next one is written.  Two programs may write at once (``files.store``).  A file of a later
format, of something else, or broken within is refused and never written to.  A file that grows
beyond ``MOST_ANSWERS`` hands on its older half to a file beside it.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place
from harmonykit.files import decode, read_bytes, write_new, write_whole
from harmonykit.files.lock import WAIT, append, free_name, json_line, locked
from harmonykit.practice import sitting
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.sitting import Answered, Owner, Standing
from harmonykit.values import dataclass

MOST_ANSWERS = 20_000
MOST_BYTES = 16_000_000
_MOST_OF_A_LINE = 8_000


class Progress:
    """The answers given so far, in memory and in a file.

    Parameters
    ----------
    path : str or Path, optional
        Made when the first answer is added; without one nothing is kept.
    owner : Owner

    Attributes
    ----------
    answers : list of Answered
    trouble : str
        What was lost of a file that was torn, or nothing.

    Raises
    ------
    HarmonyError
        If the file there is of a later format, for something or somebody else, or broken.

    Examples
    --------
    >>> progress = hk.practice.Progress()
    >>> asked = ("scale", "words", 1, 1.0, 0, "Ab")
    >>> progress.add(hk.practice.Answered("2031-05-04T17:20:09", "quay", 1, *asked))
    >>> len(progress.answers), progress.standings()["scale"]
    (1, Standing(level=1, right=1, wrong=0))
    """

    def __init__(self, path: str | Path | None = None, owner: Owner = sitting.NOBODY) -> None:
        self.path = None if path is None else Path(path)
        self.owner, self.trouble = owner, ""
        self.answers: list[Answered] = []
        if self.path is not None and self.path.exists():
            found = read_progress(self.path)
            self.answers, self.trouble = found.answers, found.trouble
            self._check(found.owner)

    def add(self, answered: Answered) -> None:
        """Add an answer: it is in the file before it is in memory.

        Parameters
        ----------
        answered : Answered

        Raises
        ------
        HarmonyError
            If the file cannot be written.

        Examples
        --------
        >>> progress = hk.practice.Progress()
        >>> given = ("2031-05-04T17:20:09", "quay", 1, "scale", "words", 1, 1.0, 0, "Ab")
        >>> progress.add(hk.practice.Answered(*given))
        >>> len(progress.answers)
        1
        """
        if len(self.answers) >= MOST_ANSWERS:
            self._halve()
        if self.path is not None:
            self._renew()
            head = json_line(self.owner.head())
            torn = append(self.path, head, answered.line(), _is_whole)
            self.trouble = _said(torn) or self.trouble
        self.answers.append(answered)

    def standings(self) -> dict[str, Standing]:
        """Return the standing of each kind that was answered.

        Returns
        -------
        dict of str to Standing
        """
        return sitting.standings_of(self.answers)

    def _check(self, found: Owner) -> None:
        if self.answers and found != self.owner:
            raise HarmonyError(
                f"{self.path} has the answers of {_whose(found)}",
                rule=f"these questions are for {_whose(self.owner)}",
                mend="another name, or another folder",
            )

    def _renew(self) -> None:
        """Give a file of an earlier format the first line of this one, before a line is added."""
        assert self.path is not None
        if not self._is_old():
            return
        with locked(self.path, WAIT):
            if self._is_old():  # another program may have done it
                found = read_progress(self.path)
                write_whole(self.path, _file(found.owner, found.answers))
                self.trouble = found.trouble or self.trouble

    def _is_old(self) -> bool:
        if self.path is None or not self.path.exists():
            return False
        with self.path.open("rb") as file:
            head = file.readline(_MOST_OF_A_LINE)
        return any(
            head.startswith(b'{"format": %d,' % old)
            for old in sitting.FORMATS
            if old < sitting.FORMAT
        )

    def _halve(self) -> None:
        """Hand on the older half of the answers to a file beside this one."""
        if self.path is None or not self.path.exists():
            self.answers = self.answers[len(self.answers) // 2 :]
            return
        with locked(self.path, WAIT):
            found = read_progress(self.path)
            half = len(found.answers) // 2
            # Another program may have done it.
            if len(found.answers) >= MOST_ANSWERS:
                older = free_name(self.path, "-older-")
                write_new(older, _file(found.owner, found.answers[:half]))
                write_whole(self.path, _file(found.owner, found.answers[half:]))
                found = read_progress(self.path)
        self.answers = found.answers


def _file(owner: Owner, answers: list[Answered]) -> bytes:
    return b"".join([json_line(owner.head()), *(each.line() for each in answers)])


def _is_whole(tail: bytes) -> bool:
    """Whether a last line is all there, as an editor may leave it that ends no line."""
    try:
        values = json.loads(tail)
        if "made_by" not in values:
            Answered.read(values)
    except (ValueError, TypeError, RecursionError):
        return False
    return True


@dataclass(frozen=True, slots=True)
class Found:
    """What a progress file holds."""

    owner: Owner
    answers: list[Answered]
    trouble: str


def read_progress(path: str | Path) -> Found:
    """Read a progress file.

    Raises
    ------
    HarmonyError
        If it is missing, of a later format, of something else, or broken within.
    """
    path = Path(path)
    data = read_bytes(path, MOST_BYTES)
    if not data.endswith(b"\n") and _is_whole(data.rpartition(b"\n")[2]):
        data += b"\n"
    body, _, torn = data.rpartition(b"\n")
    lines = body.split(b"\n") if body else []
    if not lines and _begins_ours(torn):
        return Found(sitting.NOBODY, [], _said(torn))
    owner = _owner(path, lines[0] if lines else torn)
    answers = [_answer(path, n, line) for n, line in enumerate(lines[1:], 2)]
    return Found(owner, answers, _said(torn))


def _said(torn: bytes) -> str:
    return "the last line was incomplete and is left out" if torn else ""


def _begins_ours(torn: bytes) -> bool:
    """Whether a file without a whole line is one of ours that was being begun."""
    head = json_line(sitting.NOBODY.head())[: len(b'{"format": 1, "made_by": "harmonykit", ')]
    starts = [
        head.replace(b'"format": %d' % sitting.FORMAT, b'"format": %d' % old)
        for old in sitting.FORMATS
    ]
    return any(start.startswith(torn[: len(start)]) for start in starts)


def _owner(path: Path, line: bytes) -> Owner:
    values = _values(path, 1, line)
    if values.get("made_by") != "harmonykit" or values.get("kind") != "exercises":
        raise HarmonyError(
            f"{path} is not an exercise file",
            place=Place(path.name, 1),
            mend="move it away, or name another file",
        )
    if values.get("format") not in sitting.FORMATS:
        raise HarmonyError(
            f"{path} is in format {values.get('format')!r}",
            rule=f"this version reads format {' and '.join(map(str, sitting.FORMATS))}",
            mend="a later version of harmonykit; the file is left as it is",
        )
    name, of_set = values.get("for"), values.get("set")
    if not isinstance(name, str) or not isinstance(of_set, str):
        raise HarmonyError(f"{path} does not say whose it is", place=Place(path.name, 1))
    return Owner(name, of_set)


def _answer(path: Path, number: int, line: bytes) -> Answered:
    try:
        return Answered.read(_values(path, number, line))
    except ValueError as error:
        raise HarmonyError(
            f"{path} is damaged: {error}",
            place=Place(path.name, number),
            rule="every line but the last must be whole",
            mend="move it away to start a new one; this one stays as it is",
        ) from None


def _values(path: Path, number: int, line: bytes) -> Mapping[str, Any]:
    if len(line) > _MOST_OF_A_LINE:
        values: Any = None
    else:
        try:
            values = json.loads(decode(line, path.name))
        except (ValueError, RecursionError, HarmonyError):
            values = None
    if not isinstance(values, dict):
        raise HarmonyError(
            f"{path} is damaged, or not an exercise file: line {number} cannot be read",
            place=Place(path.name, number),
            mend="move it away to start a new one; this one stays as it is",
        )
    return values


def _whose(owner: Owner) -> str:
    name = owner.name or "a student who gave no name"
    return f"{name}, set {owner.set!r}" if owner.set else name


def now() -> str:
    """Return the local date and time to the second."""
    return datetime.now().isoformat(timespec="seconds")


def by_kind(answers: list[Answered]) -> Iterator[tuple[str, list[Answered]]]:
    """Yield each kind that was answered with its answers, in the order of ``KINDS``."""
    for kind in KINDS:
        own = [each for each in answers if each.kind == kind]
        if own:
            yield kind, own
