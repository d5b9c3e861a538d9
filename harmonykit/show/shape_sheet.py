"""A sheet of the shapes of some chords on an instrument."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.tones import usual_omissions
from harmonykit.fretboard.voicing import Voicing, find_voicings
from harmonykit.show.box import draw_box
from harmonykit.show.marks import draw_key
from harmonykit.show.roles import role_of
from harmonykit.show.sheet import Group, draw_sheet
from harmonykit.show.style import Drawing
from harmonykit.theory.chord import Chord


def instrument_sheet(
    instrument: Instrument,
    chords: Sequence[Chord],
    *,
    most: int = 12,
    marks: str = "roles",
    size: str = "plain",
    palette: str = "print",
) -> tuple[Drawing, ...]:
    """Return pages with the playable shapes of some chords, for which strings, and the key.

    Examples
    --------
    >>> pages = instrument_sheet(Instrument.named("ukulele"), [Chord.parse("C6")], most=4)
    >>> pages[0].alt.split(". ")[-1]
    'The marks: root, third, fifth, sixth or seventh'
    """
    groups = shape_groups(instrument, chords, most=most, marks=marks, size=size, palette=palette)
    if marks == "roles":
        used = {role_of(chord, pc) for chord in chords for pc in chord.pcs}
        groups += (Group("", (draw_key(used, palette),)),)
    title = instrument.name[:1].upper() + instrument.name[1:]
    return draw_sheet(groups, title=title, note=instrument.sheet_line, palette=palette)


def shape_groups(
    instrument: Instrument,
    chords: Sequence[Chord],
    *,
    most: int = 12,
    max_fret: int = 12,
    marks: str = "roles",
    size: str = "plain",
    palette: str = "print",
) -> tuple[Group, ...]:
    """Return the playable shapes of some chords as boxes, a group for each chord.

    Of more than ``most`` shapes some are drawn, evenly up the neck, and the note says of how many.
    Tones that are left out by custom may be missing.  Where there are more strings than tones the
    outer ones may be muted.

    Examples
    --------
    >>> c6 = shape_groups(Instrument.named("ukulele"), [Chord.parse("C6")], most=4)
    >>> c6[0].head, c6[0].note[:5], len(c6[0].drawings)
    ('C6', '4 of ', 4)
    """
    return tuple(_group(instrument, c, most, max_fret, marks, size, palette) for c in chords)


def _group(
    instrument: Instrument,
    chord: Chord,
    most: int,
    max_fret: int,
    marks: str,
    size: str,
    palette: str,
) -> Group:
    found = _shapes(instrument, chord, max_fret)
    step = max(1.0, len(found) / most)
    chosen = [found[int(step * index)] for index in range(min(most, len(found)))]
    look: dict[str, Any] = {"marks": marks, "size": size, "palette": palette}
    boxes = [draw_box(shape, chord, name="", barre=marks != "roles", **look) for shape in chosen]
    of = f"{len(boxes)} of {len(found)}" if len(boxes) < len(found) else f"{len(found) or 'no'}"
    return Group(chord.unicode, tuple(boxes), f"{of} shape{'' if len(found) == 1 else 's'}")


def _shapes(instrument: Instrument, chord: Chord, max_fret: int) -> list[Voicing]:
    omit = usual_omissions(chord, len(instrument.strings))
    mutes = len(instrument.strings) > len(chord.semitones)
    found = find_voicings(chord, instrument, max_fret, omit=omit, mutes=mutes)
    whole = [shape for shape in found if not _has_gap(shape)]
    return sorted(whole, key=lambda shape: (shape.lowest_fret, shape.highest_fret, shape.digits))


def _has_gap(voicing: Voicing) -> bool:
    """Whether a string is muted between two that sound: hard to strum."""
    return "x" in "".join("x" if fret is None else "." for fret in voicing.frets).strip("x")
