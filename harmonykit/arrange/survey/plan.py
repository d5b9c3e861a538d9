"""What a survey has to do: where its tunes are, which keys it tries, and a task for each tune.

A task takes a second or so.  Its name is a hash of all that goes into it: what has that name is
the same work, and need not be done again.  A file that cannot be opened is
a source too, with its error, so that it has its row.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path

from harmonykit.arrange.moves import USUAL, move_named
from harmonykit.errors import HarmonyError
from harmonykit.files import read_bytes
from harmonykit.fretboard.hands.hand import LEVELS, limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.abc_lines import AbcTune, split_tunes
from harmonykit.score.files import MOST_BYTES, READABLE
from harmonykit.theory.note import Note
from harmonykit.theory.typed import as_typed
from harmonykit.tune.tune import TuneError
from harmonykit.values import dataclass, replace

ALL = tuple(range(12))
"""The pitch classes of all tonics."""


def read_tonics(text: str) -> tuple[int, ...]:
    """Return the pitch classes of typed tonics, each once; none for ``"written"``.

    Parameters
    ----------
    text : str
        ``"all"``, ``"written"`` (each tune in its own key alone), or tonics with commas between.

    Raises
    ------
    HarmonyError
        If one of them is no note.

    Examples
    --------
    >>> read_tonics("C, G, Bb"), read_tonics("written")
    ((0, 7, 10), ())
    """
    word = text.strip().casefold()
    if word in ("all", "written"):
        return ALL if word == "all" else ()
    return tuple(dict.fromkeys(_tonic(name) for name in text.split(",")))


def _tonic(name: str) -> int:
    try:
        note = Note.parse(name.strip())
    except HarmonyError as error:
        raise HarmonyError(
            f"{name.strip()!r} is not a tonic",
            rule='"all", "written", or tonics separated by commas; the mode is the tune\'s own',
            mend="B" if name.strip().casefold() == "h" else "C,G,D,F",
        ) from error
    return note.pitch_class


@dataclass(frozen=True, slots=True)
class Source:
    """One tune in a file, before it is read.

    Parameters
    ----------
    path : Path
        As it was asked for.
    place : int
        Which tune of the file, from 0.
    digest : str
        A hash of the file's name and of the tune's own bytes; empty where it cannot be opened.
    number : int or None
        The reference number of the tune in a collection.
    title : str
        What a collection calls it.
    error : str
        Why the file cannot be opened.
    size : int
        How many bytes say the tune.
    """

    path: Path
    place: int = 0
    digest: str = ""
    number: int | None = None
    title: str = ""
    error: str = ""
    size: int = 0

    def data(self) -> bytes:
        """Return the tune's bytes, read anew.

        Raises
        ------
        TuneError
            If they are no longer what they were.
        """
        pieces = _pieces(self.path)
        data = pieces[self.place][1] if self.place < len(pieces) else b""
        if _digest(self.path, data) != self.digest:
            raise TuneError(f"{self.path.name} changed while the survey ran", mend="run it again")
        return data


Piece = tuple[AbcTune | None, bytes]


def find_sources(paths: Iterable[str | Path]) -> tuple[Source, ...]:
    """Return the tunes of files and folders, in their order, each file once.

    Parameters
    ----------
    paths : iterable of str or Path
        Files; bare names of tunes that ship; and folders, of which all files with a tune's suffix
        are taken, those in folders within too, sorted by name.

    Examples
    --------
    >>> [source.path.name for source in find_sources(["slack_water_waltz", "heron_landing"])]
    ['slack_water_waltz.toml', 'heron_landing.toml']
    """
    files: dict[str, Path] = {}
    for path in _files(paths):
        files.setdefault(os.path.realpath(path), path)
    return tuple(source for path in files.values() for source in _sources(path))


def _files(paths: Iterable[str | Path]) -> Iterator[Path]:
    for asked in paths:
        path = Path(asked)
        if not path.is_dir():
            yield path if path.exists() else find_data("tunes", path)
            continue
        for folder, folders, names in os.walk(path):
            folders.sort()
            found = (Path(folder, name) for name in sorted(names))
            yield from (file for file in found if file.suffix.lower() in READABLE)


def _sources(path: Path) -> Iterator[Source]:
    try:
        pieces = _pieces(path)
    except HarmonyError as error:
        yield Source(path, error=one_line(error))
        return
    for place, (tune, data) in enumerate(pieces):
        number = tune.number if tune else None
        title = tune.title.encode("latin-1").decode("utf-8", "replace") if tune else ""
        yield Source(path, place, _digest(path, data), number, title, size=len(data))


@lru_cache(maxsize=1)
def _pieces(path: Path) -> tuple[Piece, ...]:
    """Return the tunes of a file; the last file is remembered, since its tunes come in a row."""
    # Anything else, a pipe say, might never end.
    if path.exists() and not path.is_file():
        raise TuneError(f"{path} is not a file")
    data = read_bytes(path, MOST_BYTES, TuneError)
    if path.suffix.lower() != ".abc":
        return ((None, data),)
    # Latin-1 takes every byte and gives it back: which of the two it is, the reader finds out.
    tunes = split_tunes(data.decode("latin-1"))
    if len(tunes) < 2:
        return ((next(iter(tunes), None), data),)
    return tuple((tune, tune.text.encode("latin-1")) for tune in tunes)


def _digest(path: Path, data: bytes) -> str:
    # The name is in it since an untitled tune is called by it.
    return hashlib.sha256(path.name.encode("utf-8", "replace") + b"\0" + data).hexdigest()


def one_line(error: HarmonyError) -> str:
    """Return an error as one line: what, where, and what the rule is."""
    where = error.place.show().split("\n")[0] if error.place else ""
    said = error.what + (f" ({where})" if where else "")
    return "; ".join(" ".join(part.split()) for part in (said, error.rule) if part)


FORMAT = 1
# What the numbers of a survey depend on.
_FLOORS = ("theory", "fretboard", "tune", "arrange")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of every tune.

    Parameters
    ----------
    instruments : tuple of Instrument
    levels : tuple of int
        Levels of the hand, 1 to 3, as ``fretboard.hands.limits.limits_at`` has them.
    tonics : tuple of int
        Pitch classes of the keys' tonics; none for each tune's own key alone.
    moves : tuple of str
        The moves that the best arrangement may use.

    Raises
    ------
    HarmonyError
        If there is no instrument or level, one is asked for twice, or a level or move is unknown.
    """

    instruments: tuple[Instrument, ...]
    levels: tuple[int, ...] = (1, 2, 3)
    tonics: tuple[int, ...] = ALL
    moves: tuple[str, ...] = USUAL

    def __post_init__(self) -> None:
        for what, values in (("instrument", self.instruments), ("level", self.levels)):
            if not values or len(set(values)) < len(values):
                raise HarmonyError(
                    f"{len(values)} {what}s", rule=f"at least one {what}, each named once"
                )
        for instrument in self.instruments:
            for level in self.levels:
                limits_at(level, instrument)
        for move in self.moves:
            move_named(move)


@dataclass(frozen=True, slots=True)
class Task:
    """A tune on an instrument at a level, in all keys asked for."""

    source: Source
    instrument: Instrument
    level: int
    name: str


@dataclass(frozen=True, slots=True)
class Plan:
    """All tasks of a survey, tune by tune."""

    sources: tuple[Source, ...]
    asked: Asked

    def tasks(self, source: Source) -> tuple[Task, ...]:
        """Return the tasks of one tune."""
        return tuple(
            Task(source, instrument, level, self._name(source, instrument, level))
            for instrument in self.asked.instruments
            for level in self.asked.levels
        )

    def unread_name(self, source: Source) -> str:
        """Return the name of the one part of a tune that cannot be read."""
        return hashed(source.digest, "unread")

    def _name(self, source: Source, instrument: Instrument, level: int) -> str:
        # Where a tuning is published changes nothing.
        strung = as_typed(replace(instrument, source=""))
        limits = repr(limits_at(level, instrument))
        asked = (self.asked.tonics, self.asked.moves)
        return hashed(source.digest, strung, str(level), limits, repr(asked))


def all_levels() -> tuple[int, ...]:
    """Return the levels that there are.

    Examples
    --------
    >>> all_levels()
    (1, 2, 3)
    """
    return tuple(range(1, 1 + max(map(len, LEVELS.values()))))


def hashed(*parts: str) -> str:
    """Return a hash of texts, and of the code that works on them."""
    text = "\0".join((str(FORMAT), code_mark(), *parts))
    return hashlib.sha256(text.encode()).hexdigest()[:32]


@lru_cache(maxsize=1)
def code_mark() -> str:
    """Return a hash of the code on which a survey's numbers depend."""
    package = Path(__file__).resolve().parents[2]
    sums = hashlib.sha256()
    for file in _code(package):
        sums.update(file.relative_to(package).as_posix().encode())
        sums.update(file.read_bytes().replace(b"\r\n", b"\n"))
    return sums.hexdigest()[:16]


def _code(package: Path) -> Iterable[Path]:
    return sorted(file for floor in _FLOORS for file in (package / floor).rglob("*.py"))
