"""The end of a handout: what moves, the parents, an exercise and its answers, rights."""

from collections.abc import Sequence
from typing import Any

from harmonykit.draw.base.given import describe_strings, string_names
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.frettings import shifted
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.chart import ROW_MM
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import first_clock, nearest, outcome, steps_between, ways_out
from harmonykit.lesson.handout.text import plain
from harmonykit.lesson.plan.model import Lesson, said_of_rights
from harmonykit.lesson.plan.shown import Shown, strings_that_move
from harmonykit.lesson.plan.starts import Way, lowered
from harmonykit.lesson.statements.turning import move_said
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.words.numbers import join_words, number

ANSWERS = ("page", "upside down")
"""Where the answers stand: on a page of their own, or under the exercise."""


def last_page(lesson: Lesson, figures: Figures, answers: str = ANSWERS[0]) -> dict[str, Any]:
    """Return what stands behind the levels as plain data."""
    return {
        "moves": _moves(lesson, figures),
        "parents": _parents(lesson),
        "turn": _turn(lesson, figures, answers),
        # The note on rights; cautions stand beside the shapes that they are about.
        "small": [plain(" ".join(said_of_rights(lesson.front)))],
    }


def _parents(lesson: Lesson) -> dict[str, Any] | None:
    """The four dominants of the lesson's diminished seventh, and where each resolves."""
    chord, ways = lesson.front.shape_chord, ways_out(lesson)
    if not ways:
        return None
    return _family(chord, ways) | {
        "title": f"The four dominants of {chord.unicode}",
        "note": "Lower one note: the chord becomes a dominant. The diminished seventh may replace "
        "any of these: it resolves where that one does.",
    }


def _family(chord: Chord, ways: Sequence[Way]) -> dict[str, Any]:
    """Return the dominants as a table, in the order of the strings that are lowered."""
    shapes = {way.parent: after.shape.digits for _, way, after in ways}
    order = {parent: place for place, parent in enumerate(shapes)}
    rows = [
        [
            _moved(way.lowered, chord),
            way.parent.unicode,
            shapes.get(way.parent, "–"),
            way.target.unicode,
            ", ".join(_moved(move, chord) for move in way.moves),
        ]
        for way in sorted(resolutions(chord), key=lambda way: order.get(way.parent, len(order)))
    ]
    header = ["Lower one note", "Dominant", "Shape", "Resolves to", f"From {chord.unicode}"]
    return {"header": header, "rows": rows}


def _moved(move: Move, chord: Chord) -> str:
    """Say one voice's step; a note that is natural in the picture of its chord is so here."""
    drawn = next((note for note in chord.notes if note.pitch_class == move.start.pitch_class), None)
    natural = drawn is not None and not drawn.accidental
    return move_said(Move(drawn, move.end) if drawn and natural else move)


def _moves(lesson: Lesson, figures: Figures) -> dict[str, Any] | None:
    """The lesson's shape, a parent of it, and where that leads: string by string."""
    front = lesson.front
    ways = ways_out(lesson)
    if not ways:
        return None
    clock = first_clock(lesson)
    shown = clock.clock_of if clock else None
    string, way, after = next((w for w in ways if w[1].parent == shown), ways[0])
    target = Chord.of(way.target, "")
    home = nearest(after.shape, target)
    if home is None:
        return None
    row = [Shown(front.shape, front.shape_chord), after, Shown(home, target)]
    names = [one.chord.unicode for one in row]
    # As wide as a page of large print the figures under many strings would touch: a step at a time.
    apart = figures.large and len(row[0].shape.frets) > _FEW_STRINGS
    drawn = [_voices(row[a:b], figures) for a, b in ([(0, 2), (1, 3)] if apart else [(0, 3)])]
    place = string_names(front.instrument)[string]
    first = f"From {names[0]} to {names[1]} one finger moves, on the {place}."
    return {
        "note": "Height is pitch. A thin line is a finger that stays; an arrow shows how many "
        "frets a finger moves.",
        "figures": drawn,
        "text": [plain(first), plain(homeward(after, Shown(home, target)))],
    }


_FEW_STRINGS, _MOST_GROWN = 4, 2.0


def _voices(row: Sequence[Shown], figures: Figures) -> int:
    drawing = strings_that_move(row, palette=figures.palette)
    return figures.add(drawing, large=min(_MOST_GROWN, ROW_MM / drawing.width_mm))


def homeward(start: Shown, end: Shown) -> str:
    """Say which strings stay, which move, and how third and seventh go."""
    before, home, parent = start.shape, end.shape, start.chord
    places = string_names(before.instrument)
    old, new = before.spelled(parent), home.spelled(end.chord)
    held = [
        (places[s], note) for s, note in enumerate(old) if note and before.midi[s] == home.midi[s]
    ]
    moved = sum(step != 0 for step in steps_between(before, home))
    said = f"From {parent.unicode} to {end.chord.unicode} "
    said += _held(held, moved)
    drawn = [(a, b) for a, b in zip(old, new, strict=True) if a and b and _leads(parent, a, b)]
    if len({parent.degree_of(a.pitch_class) for a, _ in drawn}) == 2:
        steps = join_words(list(dict.fromkeys(_step(a, b) for a, b in drawn)))
        said += f" {steps}: those two steps are what the ear waits for."
    return said


def _held(held: Sequence[tuple[str, Note]], moved: int) -> str:
    if not held:
        return "every string moves."
    stays = join_words([f"the {place} holds its {note.unicode}" for place, note in held])
    movers = f"{number(moved)} move" if moved > 1 else "moves"
    return f"{stays} and the other {movers}."


def _leads(parent: Chord, start: Note, end: Note) -> bool:
    """Whether a string carries the third up to the root, or the seventh down to the third."""
    degree = parent.degree_of(start.pitch_class)
    semitones = (end.pitch_class - start.pitch_class + 6) % 12 - 6
    return degree is not None and (degree.number, semitones) in {(3, 1), (7, -1)}


def _step(start: Note, end: Note) -> str:
    up = (end.pitch_class - start.pitch_class) % 12 == 1
    return f"{start.unicode} {'rises' if up else 'falls'} to {end.unicode}"


def _turn(lesson: Lesson, figures: Figures, answers: str) -> dict[str, Any] | None:
    """Another diminished seventh with empty boxes, and what belongs in them."""
    if not ways_out(lesson):
        return None
    front = lesson.front
    up = 1 if front.shape.highest_fret < front.instrument.frets else -1
    shape = Voicing(front.instrument, shifted(front.shape.frets, up))
    chord = easiest(shape)
    ways, named = lowered(shape, chord), Shown(shape, chord)
    labels = front.instrument.labels
    # Each answer lies a fret lower on one string: the empty boxes have room for all of them.
    lower = shifted(shape.frets, -1)
    blank = figures.add_box(figures.box(shape, BoxLook(blank=True), was=lower))
    # The chord spells its notes; what each of them is in it, the class finds out.
    told, bare = ("; ".join(describe_strings(shape, chord, degrees=d)) for d in (True, False))
    boxes = (figures.box(named, BoxLook(size=size)) for size in ("source", "plain"))
    source, small = (figures.add_box(box.saying(box.alt.replace(told, bare))) for box in boxes)
    first, last = labels[ways[0][0]], labels[ways[-1][0]]
    said = ", ".join(
        f"{w.parent.unicode} ({v.shape.digits}) to {w.target.unicode}" for _, w, v in ways
    )
    turn = {
        "note": f"This is {chord.unicode} at fret {shape.lowest_fret}. Lower one string at a time "
        f"by a fret, from {first} to {last}. Draw each shape, name it, and write the chord it "
        "resolves to.",
        "source": source,
        "small": small,
        "digits": shape.digits,
        "outcomes": [
            {"label": f"lower {labels[s]}", "box": blank, "target": ""} for s, _, _ in ways
        ],
    }
    if answers == "upside down":
        return turn | {"said": f"Check your answers: {said}."}
    return turn | {
        "answers": {
            "note": f"{chord.unicode} with one string lowered at a time. The dotted ring is where "
            "the finger was.",
            "source": source,
            "small": small,
            "digits": shape.digits,
            "outcomes": [outcome(shape, way, figures) for way in ways],
            "parents": _family(chord, ways),
        }
    }


def easiest(shape: Voicing) -> Chord:
    """Return the name of a diminished seventh's shape that is easiest to read."""
    # One of its notes at least is a white key, and white roots have the fewest accidentals.
    names = (Chord.of(Note.from_midi(pc), "dim7") for pc in shape.pcs)
    return min(
        names, key=lambda c: (sum(abs(t.accidental) for t in c.tones), abs(c.root.fifths), c.symbol)
    )
