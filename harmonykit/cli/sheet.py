"""What ``harmonykit sheet`` writes: the shapes of some chords as pages to print."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from harmonykit.about.chord import chord
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.shape_sheet import Page, instrument_sheet
from harmonykit.draw.shapes.sheet import sheet_pdf
from harmonykit.errors import HarmonyError
from harmonykit.files.file import check_file, shown
from harmonykit.files.manifest import write_beside
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

PDF, SVG = ".pdf", ".svg"
# As many diagrams as stand in a row, on four strings and on more.
_ROW, _ROW_OF_MANY_STRINGS = 6, 4


@dataclass(frozen=True, slots=True)
class Wanted:
    """For which strings and which hand, how many shapes of a chord, and how they look."""

    instrument: Instrument
    limits: Limits
    most: int | None
    marks: str
    paper: str

    @property
    def count(self) -> int:
        """How many shapes of a chord are drawn at most."""
        row = _ROW if len(self.instrument.strings) <= 4 else _ROW_OF_MANY_STRINGS
        return row if self.most is None else self.most


def write_sheet(symbols: Sequence[str], wanted: Wanted, out: Path) -> Iterator[str]:
    """Write the sheet, and yield what is to be said of it.

    Raises
    ------
    HarmonyError
        If a symbol cannot be read, or the file is neither PDF nor SVG or cannot be written.
    """
    kind = out.suffix.lower()
    if kind not in (PDF, SVG):
        rule = "a sheet is a PDF or an SVG file"
        raise HarmonyError(
            f"{shown(out)} does not end in .pdf or .svg", rule=rule, mend="--out shapes.pdf"
        )
    check_file(out)
    chords = list(dict.fromkeys(chord(symbol).chord for symbol in symbols))
    pages = instrument_sheet(
        wanted.instrument,
        chords,
        most=wanted.count,
        marks=wanted.marks,
        limits=wanted.limits,
        page=Page(paper=wanted.paper),
    )
    files = _as_pdf(pages, wanted, chords, out) if kind == PDF else _as_svg(pages, out)
    for path, data in files:
        kept = write_beside(path, data)
        yield shown(path)
        if kept:
            yield str(kept)


def _as_pdf(
    pages: Sequence[Drawing], wanted: Wanted, chords: Sequence[Chord], out: Path
) -> Iterator[tuple[Path, bytes]]:
    names = ", ".join(chord.unicode for chord in chords)
    yield out, sheet_pdf(pages, title=f"{names}: {wanted.instrument.name}", paper=wanted.paper)


def _as_svg(pages: Sequence[Drawing], out: Path) -> Iterator[tuple[Path, str]]:
    for number, page in enumerate(pages, 1):
        path = out if number == 1 else out.with_stem(f"{out.stem}-{number}")
        yield path, page.as_file()
