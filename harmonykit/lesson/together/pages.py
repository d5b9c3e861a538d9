"""The pages of the parts: two halves a page, and the half that says whether and where they fit.

A page of A4 is cut in the middle: its text begins 15 mm from the top, so the cut is at 133.5.
"""

from collections.abc import Iterator, Mapping, Sequence

from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.draw.base.canvas import LABEL_PT, NAME_PT, NOTE_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, broken
from harmonykit.draw.shapes.sheet import sheet_pdf
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.bars import WIDE_MM
from harmonykit.lesson.together.fitting import KeyChoice, key_choices, said_beside, said_fit
from harmonykit.lesson.together.parts import RICH, Part, parts_of
from harmonykit.lesson.together.sheet import HALF_MM, draw_parts, head
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile
from harmonykit.words.numbers import counted

_NAME_MM, _ROW_MM, _LINE_MM, _COLUMNS, _KEYS = 27.0, 6.4, 5.0, 8, 3
_TOP_MM, _CUT_MM, _SECOND_MM = 24.0, 133.5, 141.0


def write_parts(
    tune: Tune,
    instrument: Instrument,
    knows: ClassFile | None = None,
    levels: Sequence[Arrangement] = (),
    *,
    paper: str = "a4",
) -> bytes:
    """Return the parts of a tune as a PDF, two to a page, then whether they fit together.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    knows : ClassFile, optional
        What the class knows.
    levels : sequence of Arrangement
        What else is played of the tune.
    paper : {"a4", "letter"}

    Raises
    ------
    HarmonyError
        If a chord has no grip.
    """
    parts = parts_of(tune, instrument, knows)
    keys = key_choices(tune, instrument, knows)[:_KEYS]
    said = [
        *_bracketed(parts, tune),
        *said_fit(parts, tune),
        *said_beside(parts, levels),
        "",
        "Keys, the best first:",
    ]
    said += [said_key(key, easy=knows is None) for key in keys]
    halves = [*draw_parts(tune, parts), *fit_halves(tune, parts, said)]
    pages = [_page(halves[n : n + 2]) for n in range(0, len(halves), 2)]
    return sheet_pdf(pages, title=f"{tune.title}: a part for everyone", paper=paper)


def _page(halves: Sequence[Drawing]) -> Drawing:
    canvas = Canvas(WIDE_MM, _SECOND_MM + HALF_MM, halves[0].colours)
    for place, half in enumerate(halves):
        canvas.place(half, 0, place * _SECOND_MM, f"half-{place}-")
    if len(halves) > 1:
        canvas.lines([[(0, _CUT_MM), (WIDE_MM, _CUT_MM)]], 0.15, dash=(1.6, 1.6))
    return canvas.drawing(halves[0].sheet.title, "; ".join(half.alt for half in halves))


def fit_halves(tune: Tune, parts: Sequence[Part], said: Sequence[str]) -> Iterator[Drawing]:
    """Yield the table of chords by parts, and under it what is said; more halves where needed.

    Parameters
    ----------
    tune : Tune
    parts : sequence of Part
    said : sequence of str
        The rows under the table.
    """
    chords = tune.chords
    several = -(-len(chords) // _COLUMNS)
    a_half = -(-len(chords) // several)
    columns = [chords[n : n + a_half] for n in range(0, len(chords), a_half)]
    for number, some in enumerate(columns):
        canvas = Canvas(WIDE_MM, HALF_MM, "print")
        head(canvas, "Do they fit?", f"{tune.title} · the notes that each part plays", "", "")
        y = _table(canvas, parts, tune, some)
        if number == len(columns) - 1:
            _said(canvas, y + 8, said)
        names = ", ".join(chord.unicode for chord in some)
        yield canvas.drawing(
            f"{tune.title}: do they fit?", f"The notes that each part plays in {names}"
        )


def _table(canvas: Canvas, parts: Sequence[Part], tune: Tune, chords: Sequence[Chord]) -> float:
    wide = (WIDE_MM - _NAME_MM) / max(len(chords), _COLUMNS - 2)
    y = _TOP_MM
    for column, chord in enumerate(chords):
        x = _NAME_MM + column * wide
        canvas.text(x, y, chord.unicode, NAME_PT, weight=SEMIBOLD, anchor="left")
    for name, cells in fit_rows(parts, tune, chords):
        canvas.lines([[(0, y + 2.2), (WIDE_MM, y + 2.2)]], 0.15)
        y += _ROW_MM
        weight = REGULAR if name.startswith("or ") else SEMIBOLD
        canvas.text(0, y, name, LABEL_PT, weight=weight, anchor="left")
        for column, cell in enumerate(cells):
            canvas.text(_NAME_MM + column * wide, y, cell, NOTE_PT, anchor="left")
    canvas.lines([[(0, y + 2.2), (WIDE_MM, y + 2.2)]], 0.5)
    return y


def _bracketed(parts: Sequence[Part], tune: Tune) -> Iterator[str]:
    """Say what brackets in the table mean, where there are some."""
    if any("(" in cell for _, cells in fit_rows(parts, tune, tune.chords) for cell in cells):
        yield "In brackets: a fifth that the bass has only in bars of one chord."


def _said(canvas: Canvas, y: float, said: Sequence[str]) -> None:
    lines = [line for row in said for line in broken(row, WIDE_MM, LABEL_PT) or [""]]
    most = int((HALF_MM - 4 - y) / _LINE_MM)
    for place, line in enumerate(lines[:most]):
        canvas.text(0, y + place * _LINE_MM, line, LABEL_PT, anchor="left")


def said_key(key: KeyChoice, *, easy: bool = False) -> str:
    """Return a key for voices in a line: how it is played, which chords have a grip, the range.

    Parameters
    ----------
    key : KeyChoice
    easy : bool
        Whether grips were counted that are easy, for want of a class.
    """
    what = f"chords have {'an easy' if easy else 'a known'} grip"
    capo = f", played in {key.played.unicode} with a capo at fret {key.capo}" if key.capo else ""
    said = f"In {key.sounds.unicode}{capo}: {key.known} of {key.chords} {what}"
    if key.outside is None:
        return f"{said}."
    if not key.outside:
        return f"{said}; the melody fits the voices."
    return f"{said}; the melody goes {counted(key.outside, 'half step')} beyond the voices."


def fit_rows(
    parts: Sequence[Part], tune: Tune, chords: Sequence[Chord]
) -> Iterator[tuple[str, list[str]]]:
    """Yield for each part its name and the notes that it sounds in each chord, in note names.

    A note that it plays in some bars of a chord, and in others not, stands in brackets.
    """
    for part in parts:
        if not part.shapes and not part.line:
            continue
        yield part.name, [_cell(part, tune, chord) for chord in chords]
        if part.rescues:
            cells = [
                " ".join(chord.spell(m % 12).unicode for m in part.rescues[chord].sounding)
                if chord in part.rescues
                else ""
                for chord in chords
            ]
            yield "or the rescue", cells


def _cell(part: Part, tune: Tune, chord: Chord) -> str:
    names: Mapping[int, str] = {n.pitch_class: n.unicode for n in chord.notes}
    pcs = [m % 12 for s in (part.shapes, part.fifths) if chord in s for m in s[chord].sounding]
    pcs += [part.line[chord].pitch_class] if chord in part.line else []
    rich = Chord.parse(part.names[chord]) if part.name == RICH else chord
    always = set(pcs).intersection(
        *(
            part.sounds(chord, bar)
            for bar in tune.bars
            if any(c.chord == chord for c in bar.changes)
        )
    )
    told = {pc: names.get(pc) or rich.spell(pc).unicode for pc in pcs}
    return " ".join(name if pc in always else f"({name})" for pc, name in told.items())
