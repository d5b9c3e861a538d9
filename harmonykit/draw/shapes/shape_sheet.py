"""A sheet of the shapes of some chords on an instrument."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from harmonykit.draw.base.marks import draw_key
from harmonykit.draw.base.roles import role_of
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.sheet import HIGH_MM, Group, draw_sheet
from harmonykit.fretboard.given import InstrumentLike, as_instrument
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chords


def instrument_sheet(
    instrument: InstrumentLike,
    chords: Iterable[ChordLike] | str,
    *,
    most: int = 12,
    marks: str = "roles",
    size: str = "plain",
    palette: str = "print",
    limits: Limits | None = None,
    paper: str = "a4",
) -> tuple[Drawing, ...]:
    """Return pages with the playable shapes of some chords, for which strings, and the key.

    ``paper`` is ``"a4"`` or ``"letter"``; ``limits`` are those of a wide hand unless given.

    Parameters
    ----------
    instrument : Instrument or str
    chords : iterable of Chord, or str
        Chords, or their symbols: ``"C6 Am7"``.
    most : int, optional
        How many shapes of each chord.
    marks : {"plain", "fingers", "roles"}, optional
        What the marks say.
    size : str, optional
        Of each box.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.
    paper : {"a4", "letter"}, optional

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
    look: dict[str, Any] = {"marks": marks, "size": size, "palette": palette}
    groups = shape_groups(instrument, chords, most=most, limits=limits, **look)
    if marks == "roles":
        used = {role_of(chord, pc) for chord in chords for pc in chord.pcs}
        groups += (Group("", (draw_key(used, palette),)),)
    title = instrument.name[:1].upper() + instrument.name[1:]
    return draw_sheet(
        groups,
        title=title,
        note=instrument.sheet_line,
        height=HIGH_MM[paper],
        palette=palette,
    )


def shape_groups(
    instrument: Instrument,
    chords: Sequence[Chord],
    *,
    most: int = 12,
    limits: Limits | None = None,
    marks: str = "roles",
    size: str = "plain",
    palette: str = "print",
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
    look: dict[str, Any] = {"marks": marks, "size": size, "palette": palette}
    return tuple(_group(instrument, chord, most, limits or Limits(), look) for chord in chords)


def _group(
    instrument: Instrument, chord: Chord, most: int, limits: Limits, look: dict[str, Any]
) -> Group:
    found = find_voicings(chord, instrument, limits.max_fret, limits=limits)
    boxes = [
        draw_box(shape, chord, name=_said(shape, chord), barre=look["marks"] != "roles", **look)
        for shape in found[:most]
    ]
    of = f"{len(boxes)} of {len(found)}" if len(boxes) < len(found) else f"{len(found) or 'no'}"
    return Group(chord.unicode, tuple(boxes), f"{of} shape{'' if len(found) == 1 else 's'}")


def _said(shape: Voicing, chord: Chord) -> str:
    return "rootless" if chord.root.pitch_class not in shape.pcs else ""
