"""A sheet of the shapes of some chords on an instrument."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from harmonykit.draw.base.given import as_look
from harmonykit.draw.base.marks import draw_key, role_of
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.box_look import BOX_SIZES, BoxLook
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet
from harmonykit.errors import need_one_of
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chords
from harmonykit.theory.typed import as_typed


@dataclass(frozen=True, slots=True)
class Page:
    """What a sheet of shapes is printed on, and how.

    Parameters
    ----------
    paper : {"a4", "letter"}
    palette : str
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.
    size : str
        Of each chord diagram, as ``hk.draw.BoxLook`` has it.

    Raises
    ------
    HarmonyError
        For other paper or another size.

    Examples
    --------
    >>> hk.draw.Page(paper="letter", palette="one ink")
    Page(paper='letter', palette='one ink')
    """

    paper: str = "a4"
    palette: str = "print"
    size: str = "plain"

    def __post_init__(self) -> None:
        need_one_of(self.paper, "paper", HIGH_MM)
        need_one_of(self.size, "size", BOX_SIZES)

    def __repr__(self) -> str:
        return as_typed(self)


def instrument_sheet(
    instrument: InstrumentLike,
    chords: Iterable[ChordLike] | str,
    *,
    most: int = 12,
    marks: str = "roles",
    limits: Limits | None = None,
    page: Page | None = None,
) -> tuple[Drawing, ...]:
    """Return pages with the playable shapes of some chords, their tuning and a key to the marks.

    Parameters
    ----------
    instrument : Instrument or str
    chords : iterable of Chord, or str
        Chords, or their symbols: ``"C6 Am7"``.
    most : int, optional
        How many shapes of each chord.
    marks : {"plain", "fingers", "roles"}, optional
        What the marks say.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    page : Page, optional
        Paper, colours, and the size of the chord diagrams.

    Returns
    -------
    tuple of Drawing

    Examples
    --------
    >>> pages = hk.draw.shape_sheet("ukulele", "C6 Am7", most=4)
    >>> pages[0].alt.split(". ")[-1]
    'The marks: root, third, fifth, sixth or seventh'
    """
    instrument, chords = as_instrument(instrument), as_chords(chords)
    page = as_look(page, Page)
    groups = shape_groups(instrument, chords, most=most, limits=limits, marks=marks, page=page)
    if marks == "roles":
        used = {role_of(chord, pc) for chord in chords for pc in chord.pcs}
        groups += (Group("", (draw_key(used, page.palette),)),)
    title = instrument.name[:1].upper() + instrument.name[1:]
    return draw_sheet(
        groups,
        title=title,
        note=instrument.sheet_line,
        height=HIGH_MM[page.paper],
        palette=page.palette,
    )


def shape_groups(
    instrument: Instrument,
    chords: Sequence[Chord],
    *,
    most: int = 12,
    limits: Limits | None = None,
    marks: str = "roles",
    page: Page | None = None,
) -> tuple[Group, ...]:
    """Return the playable shapes of some chords as boxes, a group for each chord.

    They are those of ``find_voicings`` in its order, the most usual first; of more than ``most``
    the first are drawn, and the note says of how many.

    Examples
    --------
    >>> c6 = shape_groups(Instrument.named("ukulele"), [Chord.parse("C6")], most=4)
    >>> c6[0].head, c6[0].note[:5], len(c6[0].drawings)
    ('C6', '4 of ', 4)
    """
    hand, page = limits or Limits(), as_look(page, Page)
    return tuple(_group(instrument, chord, most, hand, marks, page) for chord in chords)


def _group(
    instrument: Instrument, chord: Chord, most: int, limits: Limits, marks: str, page: Page
) -> Group:
    found = find_voicings(chord, instrument, limits.max_fret, limits=limits)
    look = BoxLook(size=page.size, barre=marks != "roles")
    boxes = [
        draw_box(
            shape, chord, name=_said(shape, chord), marks=marks, look=look, palette=page.palette
        )
        for shape in found[:most]
    ]
    of = f"{len(boxes)} of {len(found)}" if len(boxes) < len(found) else f"{len(found) or 'no'}"
    return Group(chord.unicode, tuple(boxes), f"{of} shape{'' if len(found) == 1 else 's'}")


def _said(shape: Voicing, chord: Chord) -> str:
    return "rootless" if chord.root.pitch_class not in shape.pcs else ""
