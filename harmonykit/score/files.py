"""Tunes in files: which reader a suffix wants, and writing whole or not at all."""

from __future__ import annotations

from pathlib import Path

from harmonykit.files import decode, read_bytes, write_whole
from harmonykit.paths import find_data
from harmonykit.tune.text.reader import read_text
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune, TuneError

MOST_BYTES = 4_000_000
_SCORES = (".musicxml", ".xml", ".mxl", ".abc", ".mid", ".midi")
READABLE = (".toml", *_SCORES, ".lab")
"""Suffixes of files that hold tunes."""


def read_tune(path: str | Path, number: int | None = None) -> Tune:
    """Read a tune from the text form (``.toml``), a score, a chord list or a melody.

    Parameters
    ----------
    path : str or Path
        A ``.toml``, ``.musicxml``, ``.xml``, ``.mxl`` or ``.abc`` file; a ``.lab`` file of
        ``start end label``; a ``.mid`` file, of which only the melody is read; or the bare name
        of a tune that ships.
    number : int, optional
        Which tune of a file that holds several.

    Raises
    ------
    HarmonyError
        If there is no tune of a bare name.
    TuneError
        If the file is missing, too large, of another kind, or cannot be understood; if it holds
        several tunes and no number is given; if it has no chord.

    Examples
    --------
    >>> tune = read_tune("heron_landing")
    >>> tune.title, str(tune.key), len(tune.bars)
    ('Heron Landing', 'D major', 24)
    """
    path = Path(path)
    if path.parent == Path() and not path.suffix:
        path = find_data("tunes", path)
    _check_suffix(path.name)
    return tune_from(path.name, read_bytes(path, MOST_BYTES, TuneError), number)


def tune_from(name: str, data: bytes, number: int | None = None) -> Tune:
    """Read a tune from what a file of a name holds; see :func:`read_tune`."""
    suffix = _check_suffix(name)
    if suffix in _SCORES:
        from harmonykit.score.interchange import read_score

        return read_score(name, suffix, data, number)
    if number is not None:
        raise TuneError(f"{name} holds one tune, not number {number}", mend="no number")
    text = decode(data, name, TuneError)
    if suffix == ".lab":
        from harmonykit.score.labels import read_labels

        return read_labels(text, name)
    return read_text(text, name)


def _check_suffix(name: str) -> str:
    suffix = Path(name).suffix.lower()
    if suffix not in READABLE:
        rule = f"tunes are read from {', '.join(READABLE)}"
        raise TuneError(f"{name} is no kind of file that holds a tune", rule=rule)
    return suffix


def write_tune(tune: Tune, path: str | Path) -> None:
    """Write a tune by its file's suffix: the whole file, or nothing.

    ``.toml`` is the text form, ``.musicxml`` and ``.xml`` a score as it is written, ``.mid``
    what is played, melody and chords.  ``harmonykit.score.lead`` makes scores for other parts.

    Raises
    ------
    TuneError
        If the name has another suffix or the folder cannot be written to.
    """
    path = Path(path)
    write_whole(path, _written(tune, path), TuneError)


def _written(tune: Tune, path: Path) -> bytes:
    suffix = path.suffix.lower()
    if suffix in (".musicxml", ".xml"):
        from harmonykit.score.lead import lead_score
        from harmonykit.score.musicxml_out import write_musicxml

        return write_musicxml(lead_score(tune)).encode()
    if suffix in (".mid", ".midi"):
        from harmonykit.score.midi_out import midi_score, write_midi_file

        return write_midi_file(midi_score(tune))
    if suffix != ".toml":
        rule = "a tune is written as .toml, .musicxml, .xml or .mid"
        raise TuneError(f"{path.name} cannot be written", rule=rule)
    return write_text(tune).encode()
