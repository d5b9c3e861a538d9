"""A tune as it is typed, pasted or opened: told what it is, and read.

Four kinds of text are told apart by how they begin: the text form (TOML), ABC, MusicXML, and
whatever else a person sends, chords between bar lines (``harmonykit.tune.text.pasted``).
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from harmonykit.files import decode, decode_typed, plain_ends, read_bytes
from harmonykit.paths import find_data
from harmonykit.score import abc_lines, files, interchange, labels
from harmonykit.tune.bar import write_meter
from harmonykit.tune.playing import PlayedBar, number_played
from harmonykit.tune.text import reader, writer
from harmonykit.tune.text.changes import said_tempo
from harmonykit.tune.text.pasted.header import Given
from harmonykit.tune.text.pasted.message import EXAMPLE, read_message
from harmonykit.tune.tune import Tune, TuneError
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

TYPED = "what was typed"
# A score's first lines; a field of ABC at the start of a line.
_SCORE = re.compile(r"\s*<(\?xml|!DOCTYPE|score-)", re.I)
_ABC = re.compile(r"^(X:\s*\d|K:)", re.M)
_REMARK = ("#", "%")
_MOST_WORDS = 6
FOREIGN = (".abc", ".musicxml", ".xml", ".mxl", ".mid", ".midi", ".lab")
_KINDS = {
    ".toml": "the text form", ".abc": "ABC", ".musicxml": "MusicXML", ".xml": "MusicXML",
    ".mxl": "MusicXML", ".mid": "a MIDI file, melody only",
    ".midi": "a MIDI file, melody only", ".lab": "a chord list",
    "|": "a message",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Typed:
    """A tune, and what was done to come by it.

    Parameters
    ----------
    tune : Tune
    kind : str
        What it was read as, in words.
    told : tuple of (str, str)
        About what, and what is said of it: key and metre with how they were found, bars.
    """

    tune: Tune
    kind: str
    told: tuple[tuple[str, str], ...]

    @property
    def left_out(self) -> tuple[str, ...]:
        """What of a message was not read, each with its line."""
        return tuple(what for about, what in self.told if about == "left out")


def text_kind(text: str) -> str:
    """Return the suffix of the kind of text that a tune is typed in; ``"|"`` for a message.

    Examples
    --------
    >>> [text_kind(each) for each in ("format = 1", "| C6 | G7 |", "X:1\\nK:C\\nC|", "<?xml ?>")]
    ['.toml', '|', '.abc', '.musicxml']
    """
    if _SCORE.match(text):
        return ".musicxml"
    if reader.is_text_form(text):
        return ".toml"
    return ".abc" if _ABC.search(text) and _looks_like_abc(text) else "|"


def _looks_like_abc(text: str) -> bool:
    """Return whether fields of ABC come before anything else: "Key: F" in a message is none."""
    lines = (line.strip() for line in text.splitlines())
    first = next((line for line in lines if line and not line.startswith(_REMARK)), "")
    return re.match(r"[A-Za-z]:", first) is not None and "|" not in first.partition(":")[2][:2]


@lru_cache(maxsize=8)
def tunes_in(text: str) -> tuple[tuple[int, str], ...]:
    """Return number and title of the tunes of an ABC text, where it holds several.

    Examples
    --------
    >>> tunes_in("X:1\\nT:Ebb\\nK:C\\nC|\\n\\nX:2\\nT:Flow\\nK:C\\nD|\\n")
    ((1, 'Ebb'), (2, 'Flow'))
    """
    if text_kind(text) != ".abc":
        return ()
    found = [
        (tune.number, tune.title) for tune in abc_lines.split_tunes(text) if tune.number is not None
    ]
    return tuple((number, title) for number, title in found) if len(found) > 1 else ()


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
        With line, column and a caret where the text form or a message cannot be read.

    Examples
    --------
    >>> tune = read_typed("| Dm7 | G7 | C6 | C6 |")
    >>> str(tune.key), len(tune.bars)
    ('C major', 4)
    """
    return take_in(text, number).tune


@lru_cache(maxsize=8)
def take_in(text: str, number: int = 0, given: Given | None = None, name: str = TYPED) -> Typed:
    """Return the tune that a text is, and what was done to come by it.

    Parameters
    ----------
    text : str
        In any of the four kinds.
    number : int
        Of an ABC text that holds several; 0 for the first.
    given : Given, optional
        What is known of a message beforehand; it changes nothing in the other kinds.
    name : str
        What the text is, in words, for errors.

    Raises
    ------
    HarmonyError
        With line, column and a caret where it cannot be read.

    Notes
    -----
    What was read is remembered: a score takes a second to read.

    Examples
    --------
    >>> typed = take_in("|1. Dm7 G7 | C6 |")
    >>> typed.kind, dict(typed.told)["metre"]
    ('a message', '4/4, assumed: the text names none')
    """
    if not text.strip():
        raise TuneError("the tune is missing", mend=EXAMPLE)
    kind = text_kind(text)
    if kind == "|":
        said = read_message(text, name, given)
        tune = Tune.of_message(said)
        return Typed(tune, _KINDS[kind], (*said.told, *_counted(tune)))
    if kind == ".toml":
        return _stated(Tune.parse(text, name), kind)
    several = tunes_in(text)
    wanted = number or (several[0][0] if several else 0)
    return _stated(interchange.read_score(name, kind, text.encode(), wanted or None), kind)


def take_in_file(path: Path, number: int | None = None, given: Given | None = None) -> Typed:
    """Return the tune of a file of any kind that is read; ``.txt`` is what a person typed.

    Raises
    ------
    HarmonyError
        If the file is missing, too large, of another kind, or cannot be understood.
    """
    data = read_bytes(path, files.MOST_BYTES, TuneError)
    suffix = path.suffix.lower()
    if suffix not in files.READABLE:
        return take_in(decode_typed(data, path.name, TuneError), number or 0, given, path.name)
    return _stated(files.tune_from(path.name, data, number), suffix)


def _stated(tune: Tune, kind: str) -> Typed:
    """Tell what a file says; what it left open is among the tune's doubts."""
    guessed = any(re.search(r"no key|key is", doubt) for doubt in tune.doubts)
    told = (
        ("key", f"{tune.key.unicode}, {'see the doubts' if guessed else 'as the file says'}"),
        ("metre", f"{write_meter(tune.meter)}, as the file says"),
        *([("composer", tune.composer)] if tune.composer else []),
        ("tempo", said_tempo(tune.tempo, tune.meter)),
        *_counted(tune),
    )
    return Typed(tune, _KINDS[kind], told)


def _counted(tune: Tune) -> Iterator[tuple[str, str]]:
    # Both are counted as players count: halves around a repeat are one bar.
    written = [PlayedBar(bar, Fraction(0), "") for bar in tune.bars]
    count = number_played(written, pickup=bool(tune.pickup))[-1][0]
    pickup = " and a pick-up" if tune.pickup else ""
    again = count != tune.bar_count
    said = f"{count} written{pickup}, {tune.bar_count} played" if again else f"{count}{pickup}"
    yield "bars", said
    if len(tune.order) > 1:
        yield "form", " ".join(tune.order)
    if verses := {verse for bar in tune.bars for verse in bar.verses}:
        yield "words", f"{counted(len(verses), 'verse')}: {_first_words(tune, min(verses))} ..."


def _first_words(tune: Tune, verse: int) -> str:
    """Return how the words of a verse begin."""
    pieces = list[str]()
    for bar in tune.bars:
        sung = [word for note in bar.melody for word in note.words if word.verse == verse]
        pieces += [word.text + (" " if not word.goes_on and word.text else "") for word in sung]
        pieces += [f"{text} " for place, text in enumerate(bar.lyric, 1) if place == verse]
    return " ".join("".join(pieces).split()[:_MOST_WORDS])


def open_file(given: str) -> tuple[str, str]:
    """Return name and text of a tune's file: a path, or the bare name of one that ships.

    Raises
    ------
    HarmonyError
        If there is none, or it holds no tune.
    """
    path = find_data("tunes", given.strip().strip("\"'"))
    return path.name, text_of(path.name, read_bytes(path, files.MOST_BYTES, TuneError))


def text_of(name: str, data: bytes) -> str:
    """Return a file's tune as text that can be worked on.

    The text form and ABC stay as they are; scores, melodies and chord lists become the text form.

    Raises
    ------
    HarmonyError
        If the file is of another kind, too large, or cannot be understood.
    """
    suffix = Path(name).suffix.lower()
    if len(data) > files.MOST_BYTES:
        raise TuneError(f"{name} is too large", rule=f"{files.MOST_BYTES:,} bytes at most")
    if suffix not in (".toml", ".txt", *FOREIGN):
        rule = f"tunes are read from .toml, .txt, {', '.join(FOREIGN)}"
        raise TuneError(f"{name} is not a tune file", rule=rule)
    if suffix in (".toml", ".txt"):
        return decode(data, name, TuneError).replace("\r\n", "\n")
    if suffix == ".abc":
        return _abc(data)
    if suffix == ".lab":
        return writer.write_text(labels.read_labels(decode(data, name, TuneError), name))
    return writer.write_text(interchange.read_score(name, suffix, data, None))


def _abc(data: bytes) -> str:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    return plain_ends(text)
