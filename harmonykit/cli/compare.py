"""What ``harmonykit compare`` shows: arrangements of one tune, side by side, by numbers."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from harmonykit.about.text import WIDTH, printed
from harmonykit.arrange.arrangement import Arrangement, is_foreign
from harmonykit.arrange.block.melody import OnTop, melody_on_top
from harmonykit.arrange.functions import numerals_by_bar
from harmonykit.arrange.measures import compare
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.offering import MELODY, offers
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import FULL, Wishes
from harmonykit.cli.chart import chart_lines
from harmonykit.cli.taken import about_block_chords, place_lines, taken_lines
from harmonykit.errors import HarmonyError
from harmonykit.files import refused, shown
from harmonykit.files.beside import write_beside
from harmonykit.files.carry import Carried
from harmonykit.files.table import frame_text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.tune.tune import Tune

if TYPE_CHECKING:
    import pandas as pd

    from harmonykit.arrange.choices import Front
    from harmonykit.draw.drawing import Drawing

AS_WRITTEN = "as written"
BY_STYLE = tuple(f"all moves, {style}" for style in STYLES)
"""The best with all moves in each style."""

# So many columns of numbers beside their labels are what a terminal of 80 holds.
_COLUMNS = 6
_SCORES, _MIDI = (".musicxml", ".xml"), (".mid", ".midi")


def ways(tune: Tune, instrument: Instrument) -> tuple[Arrangement, ...]:
    """Return the tune as written, with each move alone, and with all of them in each style.

    A move that finds no place in the tune is left out.

    Raises
    ------
    HarmonyError
        If a chord of the tune has no shape that a hand can hold on the instrument.
    """
    written = reharmonise(tune, instrument, (), k=1, wishes=Wishes(name=AS_WRITTEN))[0]
    single = [
        reharmonise(tune, instrument, (move,), 1, wishes=Wishes(density=FULL, name=move))[0]
        for move in MOVES
    ]
    together = [
        _together(tune, instrument, style, name)
        for style, name in zip(STYLES, BY_STYLE, strict=True)
    ]
    return (written, *(way for way in single if way.added), *together)


def _together(tune: Tune, instrument: Instrument, style: str, name: str) -> Arrangement:
    """Return the best with all moves in a style."""
    return reharmonise(tune, instrument, tuple(MOVES), k=1, style=style, wishes=Wishes(name=name))[
        0
    ]


def to_text(
    tune: Tune, found: tuple[Arrangement, ...], table: pd.DataFrame, block: OnTop | None = None
) -> str:
    """Return the table turned on its side: a line a measure, a column a way, 80 columns wide."""
    lines = list(_heading(tune, found[0].instrument))
    lines += [*chart_lines(found[0], f"What its chords do in {tune.key.unicode}"), ""]
    for place, (name, way) in enumerate(zip(table.index, found, strict=True), 1):
        lines += _legend(place, str(name), way)
    # Arrangements that are offered by kind have no row a move.
    absent = [move for move in MOVES if move not in table.index]
    if absent and len(absent) < len(MOVES):
        lines += textwrap.wrap(f"No place for {', '.join(absent)}.", WIDTH)
    for start in range(0, len(table), _COLUMNS):
        lines += ["", *_numbers(table.iloc[start : start + _COLUMNS], start + 1)]
    if block is not None:
        lines += ["", *about_block_chords(block)]
    return "\n".join(lines)


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Ways to play one tune, and their numbers."""

    tune: Tune
    instrument: Instrument
    ways: tuple[Arrangement, ...]
    table: pd.DataFrame
    block: OnTop | None = None

    @property
    def text(self) -> str:
        """What the command prints."""
        return to_text(self.tune, self.ways, self.table, self.block)

    @property
    def csv(self) -> str:
        """The table as CSV, with the numerals of each arrangement bar by bar."""
        return frame_text(self.table.assign(numerals=[*map(numerals_by_bar, self.ways)]))

    def take(self, place: int) -> Arrangement:
        """Return one of the ways, counted from 1.

        Raises
        ------
        HarmonyError
            If there is no such way.
        """
        if not 1 <= place <= len(self.ways):
            what = f"--take {place}: there are {len(self.ways)} arrangements"
            raise HarmonyError(what, rule=f"a number from 1 to {len(self.ways)}")
        return self.ways[place - 1]

    def told_of(self, place: int, at: str = "") -> str:
        """Return the chart of one of the ways with numerals, and the reasons of what it adds.

        With a bar and a chord in it, ``"8"`` or ``"8.2"``, what could stand there follows.
        """
        way = self.take(place)
        lines = [*taken_lines(way, place)]
        return "\n".join([*lines, "", *place_lines(way, at)] if at else lines)

    def write_way(self, place: int, path: Path) -> str:
        """Write one of the ways, counted from 1, as a score or as MIDI; return what to say of it.

        Raises
        ------
        HarmonyError
            If there is no such way, or the name has another suffix.
        """
        way = self.take(place)
        if check_way_file(path) in _SCORES:
            from harmonykit.arrange.score import to_musicxml

            kept = write_beside(path, to_musicxml(way, f"{self.tune.title} ({way.name})"))
        else:
            from harmonykit.sound.events import play
            from harmonykit.sound.midi import write_midi

            played = play(way, count_in=False, click=False, melody=bool(self.tune.melody))
            kept = write_beside(path, write_midi(played))
        return "\n".join(filter(None, (f"{shown(path)}: {way.name}", str(kept or ""))))

    def write_plots(self, folder: Path) -> str:
        """Write the figures into a folder; return what to say of them.

        Voices are those of the best for the first purpose.  Distances, matrix and map show the
        tune as written and the best with all moves for the first two purposes; the front is that
        of the moves of the diminished seventh, the tradeoffs those of what is offered.
        """
        from harmonykit.arrange.front import pareto_front
        from harmonykit.arrange.tradeoffs import tradeoffs
        from harmonykit.draw.plots.course import draw_courses
        from harmonykit.draw.plots.distances import draw_distances
        from harmonykit.draw.plots.front import draw_front
        from harmonykit.draw.plots.leading import draw_leading
        from harmonykit.draw.plots.matrix import draw_matrix
        from harmonykit.draw.plots.tradeoffs import draw_tradeoffs

        chosen = [way for way in self.ways if way.name in (AS_WRITTEN, *BY_STYLE[:2])]
        front = pareto_front(self.tune, self.instrument)
        figures = {"distances": draw_distances(chosen), "front": draw_front(front)}
        figures |= {"voices": draw_leading(chosen[1])}
        figures |= {"tradeoffs": draw_tradeoffs(tradeoffs(self.tune, self.instrument))}
        chords = chords_of(chosen)
        if len(chords) > 1:
            figures |= {"matrix": draw_matrix(chords), "map": draw_courses(chosen)}
        kept = _write(folder, figures)
        return "\n".join([*_say_front(front, folder, list(figures)), *map(str, kept)])


def check_way_file(path: Path) -> str:
    """Return the suffix of a file that an arrangement can be written to.

    Raises
    ------
    HarmonyError
        If it is another.
    """
    suffix = path.suffix.lower()
    if suffix not in (*_SCORES, *_MIDI):
        what = f"{path.name}: an arrangement is written as a score or as MIDI"
        raise HarmonyError(what, mend="--out FILE.musicxml or --out FILE.mid")
    return suffix


def compare_tune(
    tune: Tune, instrument: Instrument, *, block_chords: bool = False, by_kind: bool = False
) -> Comparison:
    """Return a tune's ways with their table, on request with a chord melody.

    By kind they are those that are offered (``arrange.offering``).
    """
    block = melody_on_top(tune, instrument, name=MELODY) if block_chords else None
    listed = (
        tuple(offer.arrangement for offer in offers(tune, instrument))
        if by_kind
        else ways(tune, instrument)
    )
    if block is not None:
        found = (*(way for way in listed if way.name != MELODY), block.arrangement)
    else:
        found = listed
    return Comparison(tune, instrument, found, compare(found), block)


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


def _say_front(front: Front, folder: Path, names: list[str]) -> Iterator[str]:
    files = ", ".join(f"{name}.svg" for name in names)
    yield from textwrap.wrap(f"{shown(folder)}: {files}", WIDTH, subsequent_indent="  ")
    count = len(front.points)
    over = "a missing one is better by at most {} semitones, {} mm, {} chords"
    kind = over.format(*front.epsilon) if front.bounded else "complete"
    kinds = "arrangement" if count == 1 else "arrangements"
    yield f"The Pareto front has {count} {kinds} ({kind}):"
    for letter, point in zip("ABCDEFG", front.choices(), strict=False):
        yield from textwrap.wrap(f"{letter}  {point.why}", WIDTH, subsequent_indent="   ")


def _heading(tune: Tune, instrument: Instrument) -> Iterator[str]:
    title = f"{tune.title} on the {instrument.name}, {printed(instrument.tuning)}; "
    yield from textwrap.wrap(title + f"{tune.bar_count} bars, {tune.tempo:g} a minute", WIDTH)
    for doubt in tune.doubts:
        yield from textwrap.wrap(f"doubt: {doubt}", WIDTH, subsequent_indent="  ")
    yield ""


def _legend(place: int, name: str, way: Arrangement) -> list[str]:
    """Return the way's number and name, and which chords it puts in which bars of the page."""
    added: dict[str, list[int]] = {}
    for step in way.steps:
        if step.chord is None or not is_foreign(step.chord, step.written):
            continue
        number = way.tune.playing[step.bar].bar.number
        numbers = added.setdefault(step.chord.unicode, [])
        if number not in numbers:
            numbers.append(number)
    chords = ", ".join(f"{chord} ({_bars(numbers)})" for chord, numbers in added.items())
    text = f"{name}: {chords}" if chords else name
    return textwrap.wrap(text, WIDTH, initial_indent=f"{place:2}  ", subsequent_indent="      ")


def _bars(numbers: list[int]) -> str:
    return f"bar{'s' if len(numbers) > 1 else ''} {' '.join(map(str, sorted(numbers)))}"


def _numbers(table: pd.DataFrame, first: int) -> Iterator[str]:
    label = max(map(len, table.columns))
    columns = range(first, first + len(table))
    yield " " * label + "".join(f"{place:7}" for place in columns)
    for name, values in table.items():
        yield str(name).ljust(label) + "".join(f"{_number(value):>7}" for value in values.tolist())


def _number(value: float) -> str:
    # A float says so even where it is whole, so that a column reads evenly.
    if isinstance(value, int):
        return str(value)
    return f"{value:.2f}" if abs(value) < 1 else f"{value:.1f}"
