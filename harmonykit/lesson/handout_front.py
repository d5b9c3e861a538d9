"""The first page of a handout: the idea, the shape with what comes of it, the way up the neck."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.functions import climb, lowered
from harmonykit.lesson.handout_figures import Figures, roles_of
from harmonykit.lesson.handout_text import Run, paragraphs, unbroken
from harmonykit.lesson.model import Front, Lesson, Picture, Text
from harmonykit.show.box import draw_box
from harmonykit.show.clock import draw_clock
from harmonykit.show.neck import draw_neck
from harmonykit.show.posts import draw_tuning
from harmonykit.show.roles import role_of
from harmonykit.theory.diminished import Resolution
from harmonykit.theory.note import Note

Way = tuple[int, Resolution, Voicing]


def front_page(lesson: Lesson, figures: Figures) -> dict[str, Any]:
    """Return the first page as plain data."""
    front = lesson.front
    about = [front.group, f"Sheet {front.sheet}" if front.sheet else ""]
    about.append(f"tuned {front.instrument.tuning}")
    return {
        "title": unbroken(front.title),
        "subtitle": unbroken(front.subtitle),
        "head": unbroken(" · ".join(part for part in about if part)),
        "tuning": figures.add(draw_tuning(front.instrument, palette=figures.palette)),
        "idea": _idea(lesson),
        "clock": _clock(lesson, figures),
        "doors": _doors(front, figures),
        "neck": _neck(front, figures),
    }


def ways_out(front: Front) -> tuple[Way, ...]:
    """Return what lowering each string of the lesson's shape gives; nothing for other chords."""
    return (
        lowered(front.shape, front.shape_chord) if front.shape_chord.is_diminished_seventh else ()
    )


def _idea(lesson: Lesson) -> list[list[Run]]:
    blocks = lesson.sections[0].blocks if lesson.sections else ()
    return [runs for b in blocks if isinstance(b, Text) for runs in paragraphs(b.markdown)]


def _clock(lesson: Lesson, figures: Figures) -> int:
    """Take the clock of the first section, or draw the first parent as it comes of the shape."""
    found = first_clock(lesson)
    if found is not None:
        chord = found.clock_of
        shown = {role_of(chord, pc) for pc in chord.pcs} if chord else set()
        dashed = {"was"} if found.moved else set()
        return figures.add(figures.recoloured(found.drawings[0]), shown | dashed)
    front = lesson.front
    ways = ways_out(front)
    if not ways:
        chord = front.shape_chord
        drawing = draw_clock(chord, palette=figures.palette)
        return figures.add(drawing, {role_of(chord, pc) for pc in chord.pcs})
    parent = ways[0][1].parent
    drawing = draw_clock(parent, was=front.shape_chord, palette=figures.palette)
    return figures.add(drawing, {role_of(parent, pc) for pc in parent.pcs} | {"was"})


def first_clock(lesson: Lesson) -> Picture | None:
    """Return the clock that stands in a lesson's first section, if there is one."""
    blocks = lesson.sections[0].blocks if lesson.sections else ()
    clocks = (b for b in blocks if isinstance(b, Picture) and b.clock_of is not None)
    return next(clocks, None)


def _doors(front: Front, figures: Figures) -> dict[str, Any]:
    """The lesson's shape, and what lowering each string gives."""
    ways = ways_out(front)
    named = front.shape_chord.unicode
    source = draw_box(front.shape, name=named, size="source", palette=figures.palette)
    doors = {
        "title": "Lower one string" if ways else "The shape",
        "note": _door_note(front, ways) if ways else "",
        "source": figures.add(source, roles_of(front.shape, None)),
        "digits": front.shape.digits,
        "high": source.height_mm + 6,
        "outcomes": [_outcome(front, way, figures) for way in ways],
    }
    return doors


def _outcome(front: Front, way: Way, figures: Figures) -> dict[str, Any]:
    string, resolution, after = way
    drawing = draw_box(
        after, resolution.parent, marks="roles", was=front.shape, palette=figures.palette
    )
    return {
        "label": f"lower {front.instrument.labels[string]}",
        "box": figures.add(drawing, roles_of(after, resolution.parent) | {"was"}),
        "target": resolution.target.unicode,
    }


def _door_note(front: Front, ways: Iterable[Way]) -> str:
    notes = [*front.shape.notes]
    for _, way, after in ways:
        notes += after.spelled(way.parent)
    parts = ["The dotted ring is where the finger was."]
    twins = list(_twins(note for note in notes if note))
    if twins:
        parts.append(f"{', '.join(twins)} are one fret: each chord spells it its own way.")
    if 0 in front.shape.frets:
        parts.append("An open string cannot be lowered.")
    return " ".join(parts)


def _twins(notes: Iterable[Note]) -> Iterable[str]:
    """Yield the names that share a fret: ``D♯ and E♭``."""
    names: dict[int, dict[str, None]] = {}
    for note in notes:
        names.setdefault(note.pitch_class, {})[note.unicode] = None
    return (
        " and ".join(sorted(same, key=lambda name: ("♯" not in name, name)))
        for same in names.values()
        if len(same) > 1
    )


def _neck(front: Front, figures: Figures) -> dict[str, Any]:
    """The lesson's scale carried up the neck."""
    shapes = climb(front)
    scale = front.scale
    passing = [i for i, (_, chord) in enumerate(shapes) if chord.is_diminished_seventh]
    drawing = draw_neck(front.instrument, shapes, passing=passing, palette=figures.palette)
    shown = {"passing"} if passing else set()
    for index, (shape, chord) in enumerate(shapes):
        if index not in passing:
            shown |= roles_of(shape, chord, open_too=True)
    start = "the open strings" if not any(front.scale_shape.frets) else "the first shape"
    return {
        "title": f"Up the neck in {scale.tonic.unicode}",
        "note": f"{scale.chord.unicode} and {scale.diminished.unicode} take turns: play the joined "
        f"notes together, from {start} upward. Small dots are the notes on the way.",
        "figure": figures.add(drawing, shown),
        "order": [
            [shape.digits, "" if index in passing else "b"]
            for index, (shape, _) in enumerate(shapes)
        ],
    }
