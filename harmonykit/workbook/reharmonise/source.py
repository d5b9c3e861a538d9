"""The tune as an arranger types, pastes or opens it: told what it is, and read.

Four kinds are told apart by how they begin: the text form (TOML), bare changes between bar lines,
ABC, and MusicXML.  Bare changes have no key and no title: the key is the one that fits best.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from harmonykit.errors import Place
from harmonykit.files import decode, read_bytes
from harmonykit.paths import find_data
from harmonykit.score.abc_lines import split_tunes
from harmonykit.score.files import MOST_BYTES
from harmonykit.score.interchange import read_score
from harmonykit.score.labels import read_labels
from harmonykit.tune.analysis.key_finding import find_key
from harmonykit.tune.bar import Bar, Meter, TuneError
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.text.reader import DEFAULT_TEMPO, read_text
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Section, Tune

TYPED = "what was typed"
UNTITLED = "Untitled"
_METER: Meter = (4, 4)
# A score's first lines; a key or a table of the text form; a field of ABC at the start of a line.
_SCORE = re.compile(r"\s*<(\?xml|!DOCTYPE|score-)", re.I)
_OWN_FORM = re.compile(r"\s*(\w+\s*=|\[\[)")
_ABC = re.compile(r"^(X:\s*\d|K:)", re.M)
_REMARK = ("#", "%")
FOREIGN = (".abc", ".musicxml", ".xml", ".mxl", ".mid", ".midi", ".lab")


def kind_of(text: str) -> str:
    """Return the suffix of the kind of text that a tune is typed in; ``"|"`` for bare changes.

    Examples
    --------
    >>> [kind_of(each) for each in ("format = 1", "| C6 | G7 |", "X:1\\nK:C\\nC|", "<?xml ?>")]
    ['.toml', '|', '.abc', '.musicxml']
    """
    if _SCORE.match(text):
        return ".musicxml"
    lines = (line.strip() for line in text.splitlines())
    first = next((line for line in lines if line and not line.startswith(_REMARK)), "")
    if _OWN_FORM.match(first):
        return ".toml"
    return ".abc" if _ABC.search(text) else "|"


@lru_cache(maxsize=8)
def tunes_in(text: str) -> tuple[tuple[int, str], ...]:
    """Return number and title of the tunes of an ABC text, where it holds several.

    Examples
    --------
    >>> tunes_in("X:1\\nT:Ebb\\nK:C\\nC|\\n\\nX:2\\nT:Flow\\nK:C\\nD|\\n")
    ((1, 'Ebb'), (2, 'Flow'))
    """
    if kind_of(text) != ".abc":
        return ()
    found = [(tune.number, tune.title) for tune in split_tunes(text) if tune.number is not None]
    return tuple((number, title) for number, title in found) if len(found) > 1 else ()


@lru_cache(maxsize=8)
def read_typed(text: str, number: int = 0) -> Tune:
    """Return the tune that a text is.

    Parameters
    ----------
    text : str
    number : int
        Of an ABC text that holds several; 0 for the first.

    Raises
    ------
    HarmonyError
        With line, column and a caret where the text form or bare changes cannot be read.

    Notes
    -----
    What was read is remembered: a score takes a second to read.

    Examples
    --------
    >>> tune = read_typed("| Dm7 | G7 | C6 | C6 |")
    >>> str(tune.key), len(tune.bars)
    ('C major', 4)
    """
    if not text.strip():
        raise TuneError("there is no tune yet", mend="| Dm6 | Bb7 A7 | Gm6 | Dm6 |")
    kind = kind_of(text)
    if kind == ".toml":
        return read_text(text, TYPED)
    if kind == "|":
        return _bare(text)
    several = tunes_in(text)
    wanted = number or (several[0][0] if several else 0)
    return read_score(TYPED, kind, text.encode(), wanted or None)


def _bare(text: str) -> Tune:
    bars, doubts = read_changes(text, _METER, _where(text))
    chords = [(change.chord, change.beats) for bar in bars for change in bar.changes]
    if not any(chord for chord, _ in chords):
        mend = "| Dm6 | Bb7 A7 | Gm6 | Dm6 |"
        raise TuneError("no chord stands there", place=_where(text)(0), mend=mend)
    key = find_key(chords).key
    taken = f"the key is taken to be {key}, from the chords alone"
    return Tune(
        UNTITLED, key, _first_meter(bars), DEFAULT_TEMPO, (Section("A", bars),),
        doubts=(taken, *doubts),
    )  # fmt: skip


def _first_meter(bars: tuple[Bar, ...]) -> Meter:
    return bars[0].meter if bars else _METER


def _where(text: str) -> Callable[[int], Place]:
    def place(index: int) -> Place:
        before = text[:index]
        line = before.count("\n")
        column = index - (before.rfind("\n") + 1)
        lines = text.split("\n")
        return Place(TYPED, line + 1, column + 1, lines[line])

    return place


def open_file(given: str) -> tuple[str, str]:
    """Return name and text of a tune's file: a path, or the bare name of one that ships.

    Raises
    ------
    HarmonyError
        If there is none, or it holds no tune.
    """
    path = find_data("tunes", given.strip().strip("\"'"))
    return path.name, text_of(path.name, read_bytes(path, MOST_BYTES, TuneError))


def text_of(name: str, data: bytes) -> str:
    """Return a file's tune as text that can be worked on.

    The text form and ABC stay as they are; scores, melodies and chord lists become the text form.

    Raises
    ------
    HarmonyError
        If the file is of another kind, too large, or cannot be understood.
    """
    suffix = Path(name).suffix.lower()
    if len(data) > MOST_BYTES:
        raise TuneError(f"{name} is too large", rule=f"{MOST_BYTES:,} bytes at most")
    if suffix not in (".toml", *FOREIGN):
        rule = f"tunes are read from .toml, {', '.join(FOREIGN)}"
        raise TuneError(f"{name} is no kind of file that holds a tune", rule=rule)
    if suffix == ".toml":
        return decode(data, name, TuneError).replace("\r\n", "\n")
    if suffix == ".abc":
        return _abc(data)
    if suffix == ".lab":
        return write_text(read_labels(decode(data, name, TuneError), name))
    return write_text(read_score(name, suffix, data, None))


def _abc(data: bytes) -> str:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")
