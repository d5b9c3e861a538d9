"""``harmonykit chord`` and ``sheet``: a chord or shape told and drawn; shapes as pages to print."""

import json
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path

import click

from harmonykit.about.chord import AboutChord, chord
from harmonykit.about.frets import frets_facts, frets_text
from harmonykit.about.shapes import Hand, shapes_of
from harmonykit.about.text import WIDTH, printed, to_text
from harmonykit.cli.called import as_called
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import Page, instrument_sheet
from harmonykit.draw.shapes.plain import draw_text, read_out
from harmonykit.draw.shapes.sheet import sheet_pdf
from harmonykit.errors import HarmonyError
from harmonykit.files import file, manifest
from harmonykit.fretboard.shapes.reading import read_shape
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing, as_instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.spelling import double_names
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

JSON, DIAGRAMS, READ_OUT = "json", "diagrams", "read out"
USUAL = "ukulele"


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed: a symbol or a shape, the instrument, the hand that is to hold it, a form."""

    symbol: str | None
    frets: str | None
    instrument: str
    capo: int = 0
    level: int | None = None
    small_hand: bool = False
    thumb: bool = False
    after: str = ""
    texture: str = ""
    key: str | None = None
    form: str | None = None

    @property
    def neck(self) -> Instrument:
        """The instrument with its capo."""
        return as_instrument(self.instrument).with_capo(self.capo)

    @property
    def hand(self) -> Hand:
        """The hand that is to hold it."""
        return Hand(self.level, self.small_hand, self.thumb, self.after, self.texture)

    @property
    def about(self) -> AboutChord:
        """What is asked about where a symbol is given."""
        return chord(self.symbol or "", self.key)

    def shapes(self) -> tuple[Sequence[Voicing], Chord]:
        """Return the shapes that are asked about, the most usual first, and their chord."""
        if self.frets is not None:
            reading = read_shape(self.frets, self.neck)
            return [reading.voicing], reading.names[0].chord
        asked = self.about.chord
        return [s.voicing for s in shapes_of(asked, self.neck, hand=self.hand)], asked


def told(asked: Asked) -> str:
    """Return what the command prints, in one of the four forms.

    Raises
    ------
    click.UsageError
        If neither a symbol nor frets are given, or both.
    HarmonyError
        If something cannot be read.
    """
    if asked.symbol is None and asked.frets is None:
        raise click.UsageError("Missing argument 'SYMBOL', or a shape: --frets 2213")
    if asked.symbol is not None and asked.frets is not None:
        raise click.UsageError("Give a symbol or --frets, not both")
    form = asked.form
    if form in (DIAGRAMS, READ_OUT):
        return (diagrams if form == DIAGRAMS else spoken)(*asked.shapes())
    if asked.frets is not None:
        known, more = frets_facts(asked.frets, asked.neck), ""
        text = frets_text
    else:
        known, more = asked.about.facts(asked.neck, asked.hand), _ideas(asked)
        text = to_text
    return json.dumps(known, ensure_ascii=False, indent=2) if form == JSON else text(known) + more


def _ideas(asked: Asked) -> str:
    """Return the command that lists ideas for lessons about the chord."""
    kept = "" if asked.instrument == USUAL else f' --instrument "{asked.instrument}"'
    line = f'harmonykit ideas "{asked.about.chord.symbol}"{kept}'
    return f"\n\nIdeas for lessons\n  {as_called(line)}"


# The most usual shapes: further ones stand in the table.
MOST_DRAWN = 4
_GAP = 4


def diagrams(shapes: Sequence[Voicing], chord: Chord) -> str:
    """Return shapes as chord diagrams with fingers and notes, side by side in 80 columns.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2223", Instrument.named("ukulele"))
    >>> print(diagrams([shape], Chord.parse("D7")).splitlines()[-1].split())
    ['A', 'D', 'F♯', 'C']
    """
    drawn = [_box(shape, chord) for shape in shapes[:MOST_DRAWN]]
    lines = [printed(chord.symbol)]
    for row in _rows(drawn):
        widths = [max(map(len, box)) for box in row]
        for parts in zip_longest(*row, fillvalue=""):
            cells = map(str.ljust, parts, widths)
            lines.append((" " * _GAP).join(cells).rstrip())
        lines.append("")
    return "\n".join([*lines, *_counted(shapes, chord)]).rstrip()


def spoken(shapes: Sequence[Voicing], chord: Chord) -> str:
    """Return shapes as lines for a screen reader: what each is, then string by string.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape = Voicing.parse("2223", Instrument.named("ukulele"))
    >>> print(spoken([shape], Chord.parse("D7")).splitlines()[2])
    C string, second fret, the note D, the root, first finger across 3 strings
    """
    told = [read_out(shape, chord) for shape in shapes[:MOST_DRAWN]]
    return "\n\n".join([*told, *_counted(shapes, chord)])


def _box(shape: Voicing, chord: Chord) -> list[str]:
    text = draw_text(shape, chord, name=shape.digits, fingers=shape.fingering is not None)
    return text.splitlines()


def _rows(drawn: Sequence[list[str]]) -> Iterator[list[list[str]]]:
    """Yield diagrams in rows that a terminal holds."""
    row: list[list[str]] = []
    taken = 0
    for box in drawn:
        wide = max(map(len, box))
        if row and taken + _GAP + wide > WIDTH:
            yield row
            row, taken = [], 0
        taken += wide + (_GAP if row else 0)
        row.append(box)
    if row:
        yield row


def _counted(shapes: Sequence[Voicing], chord: Chord) -> Iterator[str]:
    name = printed(chord.symbol)
    if not shapes:
        yield f"No playable shape of {name} within these limits."
    elif len(shapes) > MOST_DRAWN:
        yield f"The first {MOST_DRAWN} of {len(shapes)} shapes of {name}."


PDF, SVG = ".pdf", ".svg"
# As many diagrams as stand in a row, on four strings and on more.
_ROW, _ROW_OF_MANY_STRINGS = 6, 4


@dataclass(frozen=True, slots=True)
class Wanted:
    """For which strings and which hand, how many shapes of a chord, and how they look, as typed."""

    instrument: str
    capo: int
    most: int | None
    marks: str
    paper: str
    level: int | None
    small_hand: bool
    left_handed: bool

    @property
    def neck(self) -> Instrument:
        """The instrument with its capo."""
        return as_instrument(self.instrument).with_capo(self.capo)

    def pages(self, chords: Sequence[Chord]) -> Sequence[Drawing]:
        """Return the pages of a sheet: of each chord as many shapes as asked for, or a row."""
        row = _ROW if len(self.neck.strings) <= 4 else _ROW_OF_MANY_STRINGS
        return instrument_sheet(
            self.neck,
            chords,
            most=row if self.most is None else self.most,
            marks=self.marks,
            limits=Hand(self.level, self.small_hand).limits(self.neck),
            page=Page(paper=self.paper, left_handed=self.left_handed),
        )


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
            f"{file.shown(out)} does not end in .pdf or .svg", rule=rule, mend="--out shapes.pdf"
        )
    file.check_file(out)
    chords = list(dict.fromkeys(chord(symbol).chord for symbol in symbols))
    pages = wanted.pages(chords)
    for group in double_names(chords):
        yield f"{join_words([each.unicode for each in group])} have the same notes."
    files = _as_pdf(pages, wanted, chords, out) if kind == PDF else _as_svg(pages, out)
    for path, data in files:
        kept = manifest.write_beside(path, data)
        yield file.shown(path)
        if kept:
            yield str(kept)


def _as_pdf(
    pages: Sequence[Drawing], wanted: Wanted, chords: Sequence[Chord], out: Path
) -> Iterator[tuple[Path, bytes]]:
    names = ", ".join(chord.unicode for chord in chords)
    yield out, sheet_pdf(pages, title=f"{names}: {wanted.neck.name}", paper=wanted.paper)


def _as_svg(pages: Sequence[Drawing], out: Path) -> Iterator[tuple[Path, str]]:
    for number, page in enumerate(pages, 1):
        path = out if number == 1 else out.with_stem(f"{out.stem}-{number}")
        yield path, page.as_file()
