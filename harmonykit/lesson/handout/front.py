"""The first page of a handout: the idea, and what the lesson says of its shape and its scale."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BoxLook, draw_tuning
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.own import blocks_of, idea_of, own_parts
from harmonykit.lesson.handout.text import Run, paragraphs, unbroken
from harmonykit.lesson.plan.model import Front, Lesson, Picture, Text
from harmonykit.lesson.plan.shown import Shown, along_the_neck, lacking
from harmonykit.lesson.plan.starts import Way, climb, lowered
from harmonykit.theory.chord import Chord, Note
from harmonykit.words.numbers import number

# How much larger than on the plain sheet; letters grow to the least size of large print.
_LARGE_TUNING, _LARGE_CLOCK = 1.6, 1.5


def front_page(lesson: Lesson, figures: Figures) -> dict[str, Any]:
    """Return the first page as plain data."""
    front = lesson.front
    return {
        "title": unbroken(front.title),
        "subtitle": unbroken(front.subtitle),
        "head": unbroken(_head(front, tuned=not figures.left_handed)),
        "hand": unbroken(_hand(front)) if figures.left_handed else "",
        "tuning": figures.add(_tuning(front, figures), large=_LARGE_TUNING),
        "idea": _idea(lesson),
        "clock": _clock(lesson, figures),
        "lowered": _lowered(lesson, figures) if _on_paper(lesson, "lowered") else None,
        "neck": _neck(front, figures) if lesson.walks and _on_paper(lesson, "neck") else None,
        "own": list(own_parts(lesson, figures, list(_chosen(lesson)))),
    }


def _on_paper(lesson: Lesson, name: str) -> bool:
    """Whether no figure of a kind is kept off the sheet by its author."""
    return not any(
        isinstance(block, Picture)
        and block.name.startswith(name)
        and "no" in (block.paper, section.paper)
        for section in lesson.sections
        for block in section.blocks
    )


def _tuning(front: Front, figures: Figures) -> Drawing:
    hand = figures.left_handed
    return draw_tuning(front.instrument, left_handed=hand, palette=figures.palette)


def _head(front: Front, *, tuned: bool) -> str:
    """For whom the sheet is; in a mixed class, for which instrument; and how it is tuned."""
    # No line ends within the strings' names.
    strings = front.instrument.tuning_said.replace(" ", "\N{NO-BREAK SPACE}")
    about = [front.group, f"Lesson {front.sheet}" if front.sheet else ""]
    about += [front.instrument.name if front.also else "", f"tuned {strings}" if tuned else ""]
    return " · ".join(part for part in about if part)


def _hand(front: Front) -> str:
    """What a left-handed player must know, on a line of its own."""
    tuned = front.instrument.tuning.replace(" ", "\N{NO-BREAK SPACE}")
    return f"diagrams for left-handed players; tuning and frets still run {tuned}"


def ways_out(lesson: Lesson) -> tuple[Way, ...]:
    """Return what lowering each string of the lesson's shape gives, if its text speaks of that."""
    front = lesson.front
    taken = lesson.lowers and front.shape_chord.is_diminished_seventh
    return lowered(front.shape, front.shape_chord) if taken else ()


def _idea(lesson: Lesson) -> list[list[Run]]:
    first = idea_of(lesson)
    blocks = first.blocks if first is not None else ()
    return [runs for b in blocks if isinstance(b, Text) for runs in paragraphs(b.markdown)]


def _chosen(lesson: Lesson) -> Iterator[Picture]:
    """Yield the figures that stand on the sheet beside those of its shape, its scale and its clock.

    They are those of which its author says so; else the first, where the text has neither of the
    first two.
    """
    pictures = [block for _, block in blocks_of(lesson) if isinstance(block, Picture)]
    asked = [one for one in pictures if one.paper == "yes"]
    plain = [one for one in pictures if not one.paper]
    plain = [one for one in plain if one.clock_of is None]
    yield from asked or ([] if ways_out(lesson) or lesson.walks else plain[:1])


def _clock(lesson: Lesson, figures: Figures) -> dict[str, Any] | None:
    """Return the first clock of a lesson that may stand on paper; none where it has none."""
    for title, block in blocks_of(lesson):
        if isinstance(block, Picture) and block.clock_of is not None and not block.paper:
            drawing = figures.recoloured(block.drawings[0])
            key = figures.add(drawing, large=_LARGE_CLOCK)
            caption = unbroken(
                "".join(block.captions) or clock_said(block.clock_of, block.clock_was)
            )
            return {"figure": key, "title": unbroken(title), "caption": caption}
    return None


def clock_said(chord: Chord, was: Chord | None = None) -> str:
    """Return what a clock shows, for who sees it without the lesson's text; empty for little.

    Parameters
    ----------
    chord : Chord
    was : Chord, optional
        The chord before, if its notes are marked.

    Examples
    --------
    >>> clock_said(Chord.parse("C6"), Chord.parse("Cmaj7"))
    'From Cmaj7 to C6 three notes stay and one moves.'
    """
    if was is None or was.pcs == chord.pcs:
        apart = "so its grip has the same notes three frets higher"
        said = f"The notes of {chord.unicode} lie three half steps apart, {apart}."
        return said if chord.is_diminished_seventh else ""
    stay = len(set(was.pcs) & set(chord.pcs))
    go = len(set(was.pcs)) - stay
    stays = f"{number(stay)} {'note stays' if stay == 1 else 'notes stay'}"
    moves = f"{number(go)} {'moves' if go == 1 else 'move'}"
    told = f"{stays} and {moves}" if stay else f"no note stays: all {moves}"
    said = f"From {was.unicode} to {chord.unicode} {told}."
    if was.is_diminished_seventh and chord.is_dominant and go == 1:
        said += " Any of the four may be lowered: that gives four dominants, and no more."
    return said


def first_clock(lesson: Lesson) -> Picture | None:
    """Return the clock that stands first in a lesson, if there is one."""
    clocks = (b for _, b in blocks_of(lesson) if isinstance(b, Picture) and b.clock_of is not None)
    return next(clocks, None)


def _lowered(lesson: Lesson, figures: Figures) -> dict[str, Any] | None:
    """The lesson's shape, and what lowering each string gives; nothing where it shows others."""
    front, ways = lesson.front, ways_out(lesson)
    if not ways and (lesson.walks or any(_chosen(lesson))):
        return None
    shown = Shown(front.shape, front.shape_chord)
    # Before and after are drawn alike; a shape that stands alone is larger.
    look = BoxLook() if ways else BoxLook(size="source")
    source = figures.box(shown, look, plain=True)
    return {
        "title": "Lower one string by a fret" if ways else "The shape",
        "note": _lowered_note(front, ways) if ways else lacking([shown]),
        "source": figures.add_box(source),
        "digits": front.shape.digits,
        "outcomes": [outcome(front.shape, way, figures, home=True) for way in ways],
    }


def outcome(shape: Voicing, way: Way, figures: Figures, *, home: bool = False) -> dict[str, Any]:
    """Return what lowering one string of a shape gives, as plain data.

    With ``home`` the chord to which it resolves is drawn too, in the shape that is nearest.
    """
    string, resolution, after = way
    drawing = figures.box(after, marks="roles", was=shape)
    target = Chord.of(resolution.target, "")
    near = nearest(after.shape, target) if home else None
    drawn = None if near is None else figures.box(Shown(near, target), marks="roles")
    return {
        "home": None if drawn is None else figures.add_box(drawn),
        "label": f"lower {shape.instrument.labels[string]}",
        "box": figures.add_box(drawing),
        "target": resolution.target.unicode,
    }


def _lowered_note(front: Front, ways: Iterable[Way]) -> str:
    notes = [*front.shape.notes]
    for _, _, after in ways:
        notes += after.shape.spelled(after.chord)
    parts = ["The dotted ring is where the finger was."]
    twins = list(_twins(note for note in notes if note))
    if twins:
        parts.append(f"{', '.join(twins)} share a fret; each chord spells the note its own way.")
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
    scale, first = front.climbing
    start = "the open strings" if not any(first.frets) else "the first shape"
    note = f"{scale.chord.unicode} and {scale.diminished.unicode} alternate: play "
    if figures.large:
        # In twice its size the neck is wider than the page: its shapes stand in order as boxes.
        drawn: dict[str, Any] = {"boxes": [_one_shape(shown, figures) for shown in shapes]}
        note += f"the shapes in order, from {start} upward."
    else:
        drawn = {"figure": _along_the_neck(shapes, figures)}
        note += f"the joined notes together, from {start} upward. "
        note += f"Small dots are the notes of {scale.diminished.unicode}."
    return drawn | {
        "title": f"The scale of chords on {scale.tonic.unicode}",
        "note": note,
        "leftward": figures.left_handed,
        "order": [
            [shown.shape.digits, "" if shown.chord.is_diminished_seventh else "b"]
            for shown in shapes
        ],
    }


def _one_shape(shown: Shown, figures: Figures) -> dict[str, Any]:
    drawing = figures.box(shown, marks="roles")
    return {"box": figures.add_box(drawing), "digits": shown.shape.digits}


def _along_the_neck(shapes: Sequence[Shown], figures: Figures) -> int:
    drawing = along_the_neck(shapes, left_handed=figures.left_handed, palette=figures.palette)
    return figures.add(drawing)


def nearest(shape: Voicing, target: Chord) -> Voicing | None:
    """Return the shape of a chord to which the strings of another move least, in semitones."""
    sounding = [midi is not None for midi in shape.midi]
    found = find_voicings(
        target,
        shape.instrument,
        max_fret=min(shape.instrument.frets, shape.highest_fret + 4),
        wanted=Wanted(omit=(), mutes=not all(sounding)),
    )
    alike = [v for v in found if [midi is not None for midi in v.midi] == sounding]
    return min(
        alike, key=lambda v: (sum(map(abs, steps_between(shape, v))), v.digits), default=None
    )


def steps_between(before: Voicing, after: Voicing) -> list[int]:
    """Return how many semitones each string goes that sounds in both shapes."""
    pairs = zip(before.midi, after.midi, strict=True)
    return [b - a for a, b in pairs if a is not None and b is not None]
