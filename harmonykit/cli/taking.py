"""An arrangement written to a file: a score, MIDI, a tune of ours to go on with, pages to print."""

from pathlib import Path

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.functions import bars_said
from harmonykit.arrange.passes import alike_each_time, in_its_form
from harmonykit.errors import HarmonyError
from harmonykit.files.file import shown
from harmonykit.files.manifest import write_beside

_SCORES, _MIDI, _TUNE, _PAGES = (".musicxml", ".xml"), (".mid", ".midi"), (".toml",), (".pdf",)
KINDS = "FILE.musicxml, .mid, .toml or .pdf"


def check_way_file(path: Path) -> str:
    """Return the suffix of a file that an arrangement can be written to.

    Raises
    ------
    HarmonyError
        If it is another.
    """
    suffix = path.suffix.lower()
    if suffix not in (*_SCORES, *_MIDI, *_TUNE, *_PAGES):
        rule = f"an arrangement is written to {KINDS}"
        what = f"{path.name} is not a file that an arrangement is written to"
        raise HarmonyError(what, rule=rule, mend=f"--out {path.stem or 'file'}.musicxml")
    return suffix


def write_way(way: Arrangement, path: Path) -> str:
    """Write an arrangement by its file's suffix; return what to say of it.

    What stood there and holds something else is kept beside it.

    Raises
    ------
    HarmonyError
        If the name has another suffix, or the file cannot be written.
    """
    suffix = check_way_file(path)
    bars: tuple[int, ...] = ()
    if suffix in (*_SCORES, *_PAGES):
        way, bars = alike_each_time(way)
    kept = write_beside(path, _data(way, suffix))
    about = f"{shown(path)}: {way.name}{_LOST.get(suffix, '')}"
    again = f"{bars_said(bars)}: each time in the shapes of the last time" if bars else ""
    return "\n".join(filter(None, (about, again, str(kept or ""))))


_LOST = {".toml": ", its chords and the melody, without the shapes"}


def _data(way: Arrangement, suffix: str) -> str | bytes:
    title = f"{way.tune.title} ({way.name})"
    if suffix in _SCORES:
        from harmonykit.arrange.score import to_musicxml

        return to_musicxml(way, title)
    if suffix in _TUNE:
        from dataclasses import replace

        from harmonykit.tune.text.writer import write_text

        return write_text(replace(in_its_form(way), title=title))
    if suffix in _PAGES:
        from harmonykit.draw.staves.staff import staff_pdf

        return staff_pdf(way, title=title)
    from harmonykit.sound.events import play
    from harmonykit.sound.files import write_midi

    return write_midi(play(way, count_in=False, click=False, melody=bool(way.tune.melody)))
