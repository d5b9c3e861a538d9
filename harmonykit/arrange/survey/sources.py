"""Where the tunes of a survey are: files and folders, and each tune of a collection by itself.

A file that cannot be opened is a source too, with its error, so that it has its row.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import read_bytes
from harmonykit.paths import find_data
from harmonykit.score.abc_lines import AbcTune, split_tunes
from harmonykit.score.files import MOST_BYTES, READABLE
from harmonykit.tune.tune import TuneError


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
    """

    path: Path
    place: int = 0
    digest: str = ""
    number: int | None = None
    title: str = ""
    error: str = ""

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
        yield Source(path, place, _digest(path, data), number, title)


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
