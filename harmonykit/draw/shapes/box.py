"""One shape as a box, and a sheet of the shapes of some chords.

Conventions.  Strings stand in the instrument's order, the first at the left.  ``left_handed`` draws
the mirror image; ``reverse_strings`` turns the order of the strings alone, for someone who holds
an instrument strung the other way: both together leave the strings where they were.  The mark on
the second string at the third fret has the id ``string-2-fret-3`` (strings counted from 1 in the
instrument's order, an open string is fret 0); a muted string's cross is ``string-2-muted``.
Where a panel asks for places, every string (``line-2``), every wire (``wire-3``) and every empty
place has its id too.  All boxes of one size and kind have their nuts at one height.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from harmonykit.draw.base.given import as_look, as_named, describe_shape
from harmonykit.draw.base.marks import draw_key, role_of
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box_parts import Box
from harmonykit.draw.shapes.looks import BOX_SIZES, BoxLook, Drawn, check_known, is_left_handed
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.hands.hand import Fingering, Limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chords
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass
from harmonykit.words.numbers import plural

__all__ = ["BOX_SIZES", "draw_box"]

_MARKS = ("plain", "fingers", "roles")


def draw_box(
    voicing: Voicing | str,
    chord: ChordLike | None = None,
    *,
    name: str | None = None,
    marks: str = "plain",
    was: Voicing | Sequence[int | None] | None = None,
    look: BoxLook | None = None,
    palette: str = "colour",
) -> Drawing:
    """Draw a shape as a chord diagram.

    Parameters
    ----------
    voicing : Voicing or str
        Frets on a ukulele; on another instrument ``hk.Voicing.parse("x32010", "guitar")``.
    chord : Chord or str, optional
        Gives names, roles and spelling; without it the notes take their plainest names.
    name : str, optional
        Printed above; the chord's printed symbol unless given. ``""`` leaves its place out too.
    marks : {"plain", "fingers", "roles"}
        What the marks say.  Among plain ones a string that moved shows its role.
    was : Voicing or sequence of int or None, optional
        The frets before: a dotted ring where a finger was.
    look : BoxLook, optional
        Size, hand, what is written below, and the fingers of a progression.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        For an unknown kind of mark or palette, frets before or a fingering on other strings, or
        degrees without a chord.

    Examples
    --------
    >>> shape = hk.Voicing.parse("2223", "ukulele")
    >>> box = hk.draw.box(shape, hk.Chord.parse("D7"), marks="roles")
    >>> 'id="string-2-fret-2"' in box.svg, box.width_mm
    (True, 27.0)
    """
    voicing, chord = as_voicing(voicing), as_named(chord)
    check_known("kind of mark", marks, _MARKS)
    look = as_look(look, BoxLook)
    if name is None:
        name = "" if chord is None or look.size == "chart" else chord.unicode
    before = None if was is None else tuple(was.frets if isinstance(was, Voicing) else was)
    change = look.change
    fingering = change.after if change is not None else look.fingering
    _check_strings(voicing, before, fingering)
    if look.degrees and chord is None:
        raise HarmonyError("degrees need a chord", mend='a chord: draw_box("0003", "C")')
    drawn = Drawn(
        name=name,
        marks=marks,
        below=_below(look),
        was=before,
        left_handed=is_left_handed(voicing.instrument, asked=look.left_handed),
        reverse_strings=look.reverse_strings,
        size=look.size,
        blank=look.blank,
        barre=marks == "fingers" if look.barre is None else look.barre,
        fingering=fingering,
        kept=change.kept if change is not None else (),
        slid=change.slid if change is not None else (),
        third=look.third,
        places=look.places,
        palette=palette,
    )
    return _draw(voicing, chord, drawn)


def _below(look: BoxLook) -> str:
    notes = look.size != "chart" if look.notes is None else look.notes
    return "degrees" if look.degrees else "notes" if notes else ""


def _check_strings(
    voicing: Voicing, was: tuple[int | None, ...] | None, fingering: Fingering | None
) -> None:
    count = len(voicing.frets)
    if was is not None and len(was) != count:
        raise HarmonyError(f"{len(was)} frets before, {count} now")
    if fingering is not None and len(fingering.fingers) != count:
        raise HarmonyError(f"a fingering of {len(fingering.fingers)} strings for {count}")


@lru_cache(maxsize=1024)
def _draw(voicing: Voicing, chord: Chord | None, look: Drawn) -> Drawing:
    box = Box(voicing, chord, look)
    box.grid()
    box.head()
    if look.places:
        box.empty_places()
    if look.blank:
        place = "" if box.first == 1 else f" from fret {box.first}"
        alt = f"an empty chord diagram of {box.count} strings{place}, to fill in"
        return box.canvas.drawing("to fill in", alt, (box.left, box.top))
    box.barres()
    box.tails()
    box.rings()
    box.marks()
    if look.below:
        box.names()
    alt = describe_shape(
        voicing,
        chord,
        name=look.name,
        was=look.was,
        fingering=box.fingering if look.marks == "fingers" else None,
        moved=(look.kept, look.slid),
        left_handed=look.left_handed,
    )
    return box.canvas.drawing(look.name or voicing.digits, alt, (box.left, box.top))


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
    left_handed : bool
        Whether the diagrams are mirror images, for left-handed players.

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
    left_handed: bool = False

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
        note=" ".join([instrument.sheet_line, *[_MIRRORED] * page.left_handed]),
        height=HIGH_MM[page.paper],
        palette=page.palette,
    )


_MIRRORED = "Diagrams for left-handed players."


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
    turned = page.left_handed or None
    look = BoxLook(size=page.size, barre=marks != "roles", left_handed=turned)
    boxes = [
        draw_box(
            shape, chord, name=_said(shape, chord), marks=marks, look=look, palette=page.palette
        )
        for shape in found[:most]
    ]
    of = f"{len(boxes)} of {len(found)}" if len(boxes) < len(found) else f"{len(found) or 'no'}"
    return Group(chord.unicode, tuple(boxes), f"{of} {plural(len(found), 'shape')}")


def _said(shape: Voicing, chord: Chord) -> str:
    return "rootless" if chord.root.pitch_class not in shape.pcs else ""
