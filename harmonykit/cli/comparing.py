"""What ``harmonykit compare`` does in order: all is checked, then sought, said and written."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from harmonykit.about.text import WIDTH
from harmonykit.arrange import functions, passes, told_changes
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.offering import way_title
from harmonykit.arrange.written import counted_otherwise, has_signs, otherwise_again
from harmonykit.cli import compare
from harmonykit.cli.asked import Asked
from harmonykit.errors import HarmonyError
from harmonykit.files import refused, shown
from harmonykit.files.file import check_file
from harmonykit.files.manifest import Carried, write_beside
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    from harmonykit.arrange.choices import Front
    from harmonykit.draw.drawing import Drawing


def write_plots(compared: compare.Comparison, folder: Path, *, front: bool = False) -> str:
    """Write the figures into a folder, the front among them if asked; return what to say of them.

    Distances, matrix and map show the tune as written and the best with all moves for the first two
    purposes, or the first two that are offered with added chords; the voices are those of the first
    of them.  The front is that of the moves of the diminished seventh, the tradeoffs those of what
    is offered.
    """
    from harmonykit.arrange.front import pareto_front
    from harmonykit.arrange.gains_and_costs import tradeoffs
    from harmonykit.draw.plots.course import draw_courses
    from harmonykit.draw.plots.distances import draw_distances
    from harmonykit.draw.plots.front import draw_front
    from harmonykit.draw.plots.leading import draw_leading
    from harmonykit.draw.plots.matrix import draw_matrix
    from harmonykit.draw.plots.tradeoffs import draw_tradeoffs

    first, *others = compared.ways
    together = [way for way in others if way.name in compare.BY_STYLE] or [
        w for w in others if w.added
    ]
    chosen = [first, *together[:2]]
    found = pareto_front(compared.tune, compared.instrument) if front else None
    figures = {"distances": draw_distances(chosen)}
    figures |= {"front": draw_front(found)} if found else {}
    figures |= {"voices": draw_leading(chosen[min(1, len(chosen) - 1)])}
    figures |= {"tradeoffs": draw_tradeoffs(tradeoffs(compared.tune, compared.instrument))}
    chords = chords_of(chosen)
    if len(chords) > 1:
        figures |= {"matrix": draw_matrix(chords), "map": draw_courses(chosen)}
    kept = _write(folder, figures)
    told = _say_front(found) if found else ()
    return "\n".join([*_say_files(folder, list(figures)), *told, *map(str, kept)])


def chords_of(found: list[Arrangement]) -> list[Chord]:
    """Return the chords of some arrangements, each set of notes once, as they come."""
    chords: dict[PcSet, Chord] = {}
    for way in found:
        for step in way.steps:
            if step.chord is not None:
                chord = step.chord if step.chord.foreign_bass else step.chord.over(None)
                chords.setdefault(chord.pcs, chord)
    return list(chords.values())


def _write(folder: Path, figures: dict[str, Drawing]) -> list[Carried]:
    """Write figures into a folder; return what the user had there, and as what it is kept."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise refused(folder, trouble) from None
    found = [
        write_beside(folder / f"{name}.svg", figure.as_file()) for name, figure in figures.items()
    ]
    return [kept for kept in found if kept]


def _say_files(folder: Path, names: list[str]) -> Iterator[str]:
    files = ", ".join(f"{name}.svg" for name in names)
    yield from textwrap.wrap(f"{shown(folder)}: {files}", WIDTH, subsequent_indent="  ")


def _say_front(front: Front) -> Iterator[str]:
    count = len(front.points)
    over = "any left out is better by at most {} semitones, {} mm, {} chords"
    kind = over.format(*front.epsilon) if front.bounded else "complete"
    yield f"The Pareto front has {counted(count, 'arrangement')} ({kind}):"
    for letter, point in zip("ABCDEFG", front.choices(), strict=False):
        yield from textwrap.wrap(f"{letter}  {point.why}", WIDTH, subsequent_indent="   ")
        if chords := told_changes.added_said(point.arrangement):
            yield from textwrap.wrap(chords, WIDTH, initial_indent="   ", subsequent_indent="   ")


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
        rule = f"the file must be {KINDS}"
        what = f"an arrangement cannot be written to {path.name}"
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
    tune = way.tune
    if suffix in (*_SCORES, *_PAGES):
        way, bars = passes.on_paper(way)
    kept = write_beside(path, _data(way, suffix))
    about = f"Wrote {shown(path)}: {way.name}{_LOST.get(suffix, '')}"
    changed = functions.bars_said(bars)
    again = f"{changed}: every repeat is written with the shapes of the last time" if bars else ""
    form = "" if suffix in _MIDI else _form_said(tune, way, chords_alone=suffix in _TUNE)
    count = counted_otherwise(way) if suffix in (*_SCORES, *_PAGES) else ""
    return "\n".join(filter(None, (about, again, form, count, str(kept or ""))))


def _form_said(tune: Tune, way: Arrangement, *, chords_alone: bool) -> str:
    """Return what became of repeats that the tune has, or nothing where they stand as they were."""
    if way.choruses or not has_signs(tune):
        return ""
    written = passes.in_its_form(way) if chords_alone else way.tune
    if len(written.bars) != len(tune.bars):
        return "Chords differ from one time to the next: repeats and endings are not the tune's own"
    bars = () if chords_alone else otherwise_again(way)
    if not bars:
        return ""
    verb = "is" if len(bars) == 1 else "are"
    text = f"{functions.bars_said(bars)} {verb} not played alike each time: all is written out"
    return text[:1].upper() + text[1:]


_LOST = {".toml": ", its chords and the melody, without the shapes"}


def _data(way: Arrangement, suffix: str) -> str | bytes:
    title = way_title(way.tune.title, way.name)
    if suffix in _SCORES:
        from harmonykit.arrange.score import to_musicxml

        return to_musicxml(way, title)
    if suffix in _TUNE:
        from dataclasses import replace

        from harmonykit.tune.text.writer import write_text

        return write_text(replace(passes.in_its_form(way), title=title))
    if suffix in _PAGES:
        from harmonykit.draw.staves.staff import staff_pdf

        return staff_pdf(way, title=title)
    from harmonykit.sound.events import play
    from harmonykit.sound.files import write_midi

    return write_midi(play(way, count_in=False, click=False, melody=bool(way.tune.melody)))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted: which arrangements, and where what goes.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    asked : Asked
    take, at : str
        Which one is taken, and the place in it of which alternatives are listed; may be empty.
    offers, chord_melody : bool
        Whether those that differ in kind are compared, not each move and every style; and whether a
        chord melody is.
    front : bool
        Whether the Pareto front is sought and drawn among the figures.
    """

    tune: Tune
    instrument: Instrument
    asked: Asked
    take: str = ""
    at: str = ""
    offers: bool = False
    chord_melody: bool = False
    front: bool = False


def check_files(csv: Path | None, out: Path | None) -> None:
    """Refuse files that cannot be written, before any work is done."""
    for file in filter(None, (csv, out)):
        check_file(file)
    if out is not None:
        check_way_file(out)


def compared(
    wanted: Wanted, csv: Path | None, plots: Path | None, out: Path | None
) -> Iterator[str]:
    """Yield what is to be said, after what it says is done."""
    way = _alone(wanted) if csv is None and plots is None else None
    if way is not None:
        yield way.told(wanted.at)
    else:
        given = wanted.tune, wanted.instrument, wanted.asked
        melody, by_kind = wanted.chord_melody, wanted.offers
        if wanted.take:
            found = compare.compare_tune(*given, block_chords=melody, by_kind=by_kind)
            way = found.taken(wanted.take)
            yield way.told(wanted.at)
        else:
            found = yield from compare.told_as_found(*given, block_chords=melody, by_kind=by_kind)
            yield found.numbers
        if csv is not None:
            kept = write_beside(csv, found.csv)
            yield f"\n{shown(csv)}: the numbers as a table" + (f"\n{kept}" if kept else "")
        if plots is not None:
            yield "\n" + write_plots(found, plots, front=wanted.front)
    if way is not None and out is not None:
        yield "\n" + write_way(way.way, out)


def _alone(wanted: Wanted) -> compare.Taken | None:
    """Return the arrangement that is taken by its name, without seeking the others."""
    if not wanted.take or wanted.chord_melody:
        return None
    return compare.take_one(
        wanted.tune, wanted.instrument, wanted.asked, wanted.take, by_kind=wanted.offers
    )
