"""Tunes in files: which reader a suffix wants, and writing whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from harmonykit.errors import Place
from harmonykit.tune.layout import write_text
from harmonykit.tune.text import read_text
from harmonykit.tune.tune import Tune, TuneError

MOST_BYTES = 4_000_000
_SCORES = (".musicxml", ".xml", ".mxl", ".abc", ".mid", ".midi")
_READABLE = f".toml, {', '.join(_SCORES)}, .lab"


def read_tune(path: Path, number: int | None) -> Tune:
    """Read a tune by the suffix of its file; see ``Tune.read``."""
    suffix = path.suffix.lower()
    if suffix in _SCORES:
        from harmonykit.tune.interchange import read_score

        return read_score(path.name, suffix, read_bytes(path), number)
    if suffix not in (".toml", ".lab"):
        what = f"{path.name} is no kind of file that holds a tune"
        raise TuneError(what, rule=f"tunes are read from {_READABLE}")
    if number is not None:
        raise TuneError(f"{path.name} holds one tune, not number {number}", mend="no number")
    text = decode(read_bytes(path), path.name)
    if suffix == ".lab":
        from harmonykit.tune.labels import read_labels

        return read_labels(text, path.name)
    return read_text(text, path.name)


def read_bytes(path: Path) -> bytes:
    """Return what a file holds, unless it is too much.

    Raises
    ------
    TuneError
        If the file is missing, cannot be read, or is larger than 4 million bytes.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise TuneError(f"there is no file {path}", mend="the path of a tune") from None
    except OSError as error:
        raise TuneError(f"{path} cannot be read: {error.strerror}") from None
    if len(data) > MOST_BYTES:
        raise TuneError(
            f"{path} is too large", rule=f"a tune's file has {MOST_BYTES:,} bytes at most"
        )
    return data


def decode(data: bytes, name: str) -> str:
    """Return the text of UTF-8 bytes.

    Raises
    ------
    TuneError
        With the line and column of the first byte that is no UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before.rpartition(b"\n")[2].decode("utf-8", "replace")) + 1
        raise TuneError(
            f"byte {data[error.start]:#04x} is not UTF-8",
            place=Place(name, line, column),
            mend="save the file as UTF-8",
        ) from None


def write_tune(tune: Tune, path: Path) -> None:
    """Write a tune by the suffix of its file: the whole file, or nothing; see ``Tune.write``."""
    data = _written(tune, path)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        part.write_bytes(data)
        os.replace(part, path)
    except OSError as error:
        raise TuneError(f"{path} cannot be written: {error.strerror}") from None
    finally:
        part.unlink(missing_ok=True)


def _written(tune: Tune, path: Path) -> bytes:
    suffix = path.suffix.lower()
    if suffix in (".musicxml", ".xml"):
        from harmonykit.tune.score_out import write_musicxml

        return write_musicxml(tune).encode()
    if suffix in (".mid", ".midi"):
        from harmonykit.tune.midi_out import write_midi_file

        return write_midi_file(tune)
    if suffix != ".toml":
        rule = "a tune is written as .toml, .musicxml, .xml or .mid"
        raise TuneError(f"{path.name} cannot be written", rule=rule)
    return write_text(tune).encode()
