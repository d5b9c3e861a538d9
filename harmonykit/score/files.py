"""Tunes in files: which reader a suffix wants, and writing whole or not at all."""

from pathlib import Path
from typing import Protocol

from harmonykit.errors import attempt, need_path, wrong_kind
from harmonykit.files import decode, decode_typed, read_bytes, write_whole
from harmonykit.paths import find_data
from harmonykit.theory.chord import read_symbol
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune, TuneError
from harmonykit.words.numbers import join_words

MOST_BYTES = 4_000_000
_SCORES = (".musicxml", ".xml", ".mxl", ".abc", ".mid", ".midi")
READABLE = (".toml", *_SCORES, ".lab")
"""Suffixes of files that hold tunes."""

TYPED = ".txt"
"""The suffix of a message: it is read where it is named, and not looked for in folders."""

_MIDI = (".mid", ".midi")
WRITABLE = (".toml", ".musicxml", ".xml", *_MIDI)
"""Suffixes of files that tunes are written to."""


class HasTune(Protocol):
    """Anything that holds a tune: an arrangement, a progression."""

    @property
    def tune(self) -> Tune:
        """The tune that it holds."""
        ...


TuneLike = Tune | HasTune | str | Path


def read_tune(path: str | Path, number: int | None = None) -> Tune:
    """Read a tune from the text form (``.toml``), a score, a chord list or a melody.

    Parameters
    ----------
    path : str or Path
        A ``.toml``, ``.musicxml``, ``.xml``, ``.mxl`` or ``.abc`` file; a ``.lab`` file of
        ``start end label``; a ``.mid`` file, of which only the melody is read; a ``.txt`` file
        with a message, as ``Tune.parse`` reads it; or the bare name of a tune that ships.
    number : int, optional
        Which tune of a file that holds several.

    Returns
    -------
    Tune

    Raises
    ------
    HarmonyError
        If there is no tune of a bare name.
    TuneError
        If the file is missing, too large, of another kind, or cannot be understood; if it holds
        several tunes and no number is given; if it has no chord.

    References
    ----------
    The ABC music standard 2.1, 2011.
    MusicXML 4.0, W3C Community Group Final Report 2021.

    Examples
    --------
    >>> tune = hk.read_tune("heron_landing")
    >>> tune.title, str(tune.key), len(tune.bars)
    ('Heron Landing', 'D major', 24)
    """
    path = need_path(path, "a tune")
    if path.parent == Path() and not path.suffix:
        path = find_data("tunes", path)
    _check_suffix(path.name)
    return tune_from(path.name, read_bytes(path, MOST_BYTES, TuneError), number)


def as_tune(given: TuneLike) -> Tune:
    """Return a tune that was handed in as such, by its name or file, or as its chords.

    Raises
    ------
    HarmonyError
        If there is no tune of that name, or the file or text cannot be read.

    Examples
    --------
    >>> as_tune("heron_landing").title, len(as_tune("| Dm7 | G7 | C6 |").bars)
    ('Heron Landing', 3)
    >>> [str(change.chord) for change in as_tune("Dm7 G7 C6").changes]
    ['Dm7', 'G7', 'C6']
    """
    if isinstance(given, Tune):
        return given
    if isinstance(given, str) and ("|" in given or "\n" in given):
        return Tune.parse(given)
    if isinstance(given, str) and _are_chords(given.split()):
        return Tune.parse(f"| {' | '.join(given.split())} |")
    if isinstance(given, str | Path):
        return read_tune(given)
    held = getattr(given, "tune", None)
    if isinstance(held, Tune):
        return held
    raise wrong_kind(given, "a tune, its name, its file, or its chords", '"| Dm7 | G7 | C6 |"')


def _are_chords(words: list[str]) -> bool:
    return len(words) > 1 and all(attempt(read_symbol, word) for word in words)


def tune_from(name: str, data: bytes, number: int | None = None) -> Tune:
    """Read a tune from what a file of a name holds; see ``read_tune``."""
    suffix = _check_suffix(name)
    if suffix in _SCORES:
        from harmonykit.score.interchange import read_score

        return read_score(name, suffix, data, number)
    if number is not None:
        raise TuneError(f"{name} holds one tune, not number {number}", mend="leave the number out")
    if suffix == TYPED:
        return Tune.parse(decode_typed(data, name, TuneError), name)
    text = decode(data, name, TuneError)
    if suffix == ".lab":
        from harmonykit.score.labels import read_labels

        return read_labels(text, name)
    return Tune.parse(text, name)


def _check_suffix(name: str) -> str:
    suffix = Path(name).suffix.lower()
    if suffix not in (*READABLE, TYPED):
        rule = f"tunes are read from {', '.join(READABLE)} and {TYPED}"
        raise TuneError(f"{name} is not a tune file", rule=rule)
    return suffix


def write_tune(tune: Tune, path: str | Path) -> None:
    """Write a tune to a file of the kind that its suffix says: the whole file, or nothing.

    ``.toml`` is the text form, ``.musicxml`` and ``.xml`` a score as it is written, ``.mid``
    what is played, melody and chords.  ``hk.score.lead_score`` makes scores for other parts.

    Parameters
    ----------
    tune : Tune
    path : str or Path
        The suffix says the kind: ``.toml``, ``.musicxml``, ``.xml`` or ``.mid``.

    Raises
    ------
    TuneError
        If the name has another suffix or the folder cannot be written to.

    References
    ----------
    MusicXML 4.0, W3C Community Group Final Report 2021.
    Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> path = Path(mkdtemp()) / "heron.musicxml"
    >>> hk.write_tune(hk.read_tune("heron_landing"), path)
    >>> hk.read_tune(path).title
    'Heron Landing'
    """
    if not isinstance(tune, Tune):
        raise wrong_kind(tune, "a tune", 'read_tune("tune.toml")')
    path = need_path(path, "a tune")
    write_whole(path, written(tune, path), TuneError)


def losses(tune: Tune, path: str | Path) -> tuple[str, ...]:
    """Return what a file of this name does not keep of a tune, in words; nothing for ``.toml``.

    Raises
    ------
    TuneError
        If tunes are not written under such a name.

    Examples
    --------
    >>> from harmonykit.tune.tune import Tune
    >>> losses(Tune.parse("| F | C7 |"), "tune.mid")
    ('chords are written as notes, without their names',)
    """
    suffix = _check_writable(Path(path))
    if suffix == ".toml":
        return ()
    bars = tune.bars
    played_in_order = tune.order == tuple(section.name for section in tune.sections)
    told = {
        "chords are written as notes, without their names": suffix in _MIDI,
        "repeats, endings and jumps are written out": suffix in _MIDI
        and any(bar.opens or bar.closes or bar.ending or bar.jump for bar in bars),
        "the order of sections is written out": not played_in_order,
        "names of sections are left out": suffix in _MIDI and len(tune.sections) > 1,
        "alternate chords in brackets are left out": suffix in _MIDI
        and any(change.alternates for bar in bars for change in bar.changes),
        "phrase lengths set in the tune are left out": any(
            section.phrases for section in tune.sections
        ),
        "fermatas are left out": suffix in _MIDI and any(bar.fermatas for bar in bars),
        "composer, rights and notes are left out": suffix in _MIDI
        and bool(tune.composer or tune.rights or tune.notes),
    }
    return tuple(words for words, lost in told.items() if lost)


def _check_writable(path: Path) -> str:
    suffix = path.suffix.lower()
    if suffix not in WRITABLE:
        rule = f"a tune is written as {join_words(WRITABLE, 'or')}"
        mend = str(path.with_suffix(".musicxml"))
        raise TuneError(f"{path.name} cannot be written", rule=rule, mend=mend)
    return suffix


def written(tune: Tune, path: Path) -> bytes:
    """Return what a tune's file holds, by its suffix."""
    suffix = _check_writable(path)
    if suffix in (".musicxml", ".xml"):
        from harmonykit.score.lead import lead_score
        from harmonykit.score.musicxml_out import write_musicxml

        return write_musicxml(lead_score(tune)).encode()
    if suffix in _MIDI:
        from harmonykit.score.midi_out import midi_score, write_midi_file

        return write_midi_file(midi_score(tune))
    return write_text(tune).encode()
