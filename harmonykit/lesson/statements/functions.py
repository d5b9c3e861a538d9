"""The calls of a lesson's text: what each puts in.

``Functions(front, played)`` has one public method for each call; ``table()`` hands them out by
name, with every statement of ``facts`` among them.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import wraps
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.measures import measure
from harmonykit.draw.base.style import join_words
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.sets.cube import CORNERS, chords_of, draw_cube
from harmonykit.files.names import slug
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.model import (
    Chart,
    Fact,
    Front,
    LessonError,
    Picture,
    Played,
    Table,
    Text,
)
from harmonykit.lesson.plan.shown import Shown, along_the_neck, diagram, notes_heard
from harmonykit.lesson.plan.starts import climb, lowered, shapes_heard, walk
from harmonykit.lesson.statements import counted, every_root, facts
from harmonykit.lesson.statements.calls import Function
from harmonykit.lesson.statements.counted import dominant_rows, holding, melody_over
from harmonykit.lesson.statements.signature import EXAMPLES, Given, check_arguments
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, resolutions
from harmonykit.words.former import FORMER

_COUNTED = {"strings": "strings", "levels": "levels", "bars": "bars", "scale": "notes of the scale"}
# A longer way is what a chart plays.
_MOST_HEARD = 16
_MOST_BESIDE = 12


class Functions:
    """What a lesson's text may call."""

    # Statements stand beside these: see ``statements``.
    PUT_IN = (
        "shape", "scale_shape", "frets_aloud", "notes", "name", "count", "tune",
        "key", "open_strings", "diagram", "side_by_side", "lowered_diagrams",
        "clock", "neck", "cube",
        "staff", "four_dominants", "scale_shapes", "dominants", "chart", "changes",
        "added_chords", "comparison",
        "proved",
    )  # fmt: skip

    def __init__(self, front: Front, played: tuple[Played, ...]) -> None:
        self.front, self.played = front, played
        self.facts: list[Fact] = []
        self.line = 0
        self._shown: dict[str, Picture] = {}

    def at_line(self, line: int) -> None:
        """Take note of the line that the next call stands in."""
        self.line = line

    def table(self) -> dict[str, Function]:
        """Return all calls by name."""
        calls: dict[str, Function] = {name: getattr(self, name) for name in self.PUT_IN}
        return calls | {name: self._stated(prove) for name, prove in self.statements().items()}

    def statements(self) -> dict[str, Callable[..., facts.Proved]]:
        """Return the statements by name; each gives a sentence and its proof, or raises."""
        return stated(self)

    def _sounds(self, frets: str = "", chord: str = "") -> facts.Proved:
        """State that a shape sounds all the tones of a chord and nothing else."""
        shape = self._voicing(frets)
        return facts.sounds(shape.instrument, shape.digits, chord or self.front.shape_chord.symbol)

    def _repeats(self, up: int, frets: str = "") -> facts.Proved:
        """State that a shape moved up the neck sounds the same notes again."""
        shape = self._voicing(frets)
        return facts.repeats(shape.instrument, shape.digits, up)

    def _strings_move(self, before: str, after: str) -> facts.Proved:
        """State how many strings stay and how many move from one shape to another."""
        return counted.strings_move(self._voicing(before), self._voicing(after))

    def _bars_of(self, chord: str) -> facts.Proved:
        """State in which bars of the tune a chord sounds."""
        return counted.bars_of(self.front.tune, chord)

    def _melody_over(self, chord: str) -> facts.Proved:
        """State which notes the melody has over a chord of the tune, and in which bars."""
        return melody_over(self.front.tune, chord)

    def _added(self, level: int) -> facts.Proved:
        """State how many chords a level adds, and in which bars."""
        return counted.added(self._arranged(level), level)

    def _half_step_below(self, level: int) -> facts.Proved:
        """State how many added chords have their root a half step below the root that follows."""
        return counted.half_step_below(self._arranged(level), level)

    def _prepared(self, level: int) -> facts.Proved:
        """State how many chords of the tune have an added chord just before them."""
        return counted.prepared(self._arranged(level), level)

    def _strings_stay(self, level: int, strings: int = 2) -> facts.Proved:
        """State in how many changes of shape so many strings stay on their frets, or more."""
        return counted.strings_stay(self._arranged(level), level, strings)

    def _highest_fret(self, level: int) -> facts.Proved:
        """State the highest fret that a level uses."""
        return counted.highest_fret(self._arranged(level), level)

    def _shortest_chord(self, level: int) -> facts.Proved:
        """State how long the shortest chord of a level lasts at its tempo."""
        return counted.shortest_chord(self._arranged(level), level)

    def _arranged(self, level: int) -> Arrangement:
        return self.played[self._level(level)].arrangement

    def _stated(self, prove: Callable[..., facts.Proved]) -> Function:
        @wraps(prove)
        def state(*args: object, **keywords: object) -> str:
            sentence, proof = prove(*args, **keywords)
            self.facts.append(Fact(sentence, proof, self.line))
            return sentence

        return state

    def proved(self, statement: str, *args: str | int | float | bool) -> str:
        """Check a statement and print nothing: what the teacher says in words of their own."""
        statements = self.statements()
        statement = FORMER["call"].get(statement, statement)
        if statement not in statements:
            raise LessonError(
                f"{statement!r} is not a statement", mend=", ".join(sorted(statements))
            )
        check_arguments(statement, statements[statement], [Given(each) for each in args])
        self._stated(statements[statement])(*args)
        return ""

    def _picture(self, picture: Picture) -> Picture:
        """Return a picture under a name of its own; one that is shown again keeps its name."""
        count, name = 1, picture.name
        while self._shown.setdefault(name, replace(picture, name=name)) != replace(
            picture, name=name
        ):
            count += 1
            name = f"{picture.name}-{count}"
        return self._shown[name]

    def _voicing(self, frets: str = "") -> Voicing:
        """Return a shape; the lesson's own where none is named."""
        return Voicing.parse(frets, self.front.instrument) if frets else self.front.shape

    def shape(self, frets: str = "") -> str:
        """Put in a shape as digits: ``2-3-2-3``.

        The lesson's own stands for its chord: what it lacks of that is said behind it.
        """
        lacking = "" if frets else Shown(self.front.shape, self.front.shape_chord).lacking
        return f"{self._voicing(frets).digits}{f' ({lacking})' if lacking else ''}"

    def scale_shape(self) -> str:
        """Put in the shape that the lesson's scale starts from, as digits."""
        return self.front.climbing[1].digits

    def frets_aloud(self, frets: str = "") -> str:
        """Put in a shape as read aloud: ``two, three, two, three``."""
        spoken = ("muted" if f is None else _fret_word(f) for f in self._voicing(frets).frets)
        return ", ".join(spoken)

    def notes(self, what: str = "") -> str:
        """Put in the notes of a chord, root first, or of a shape, string by string."""
        if not what or what[:1].isdigit() or what[:1] in "xX":
            return self._shape_notes(self._voicing(what))
        return facts.names(Chord.parse(what))

    def _shape_notes(self, shape: Voicing) -> str:
        """Return a shape's notes, named as the lesson's own chord names them where it is that."""
        chord = self.front.shape_chord
        spelled = shape.spelled(chord) if shape.pcs == chord.pcs else shape.notes
        return join_words([note.plain().unicode for note in spelled if note])

    def name(self, chord: str) -> str:
        """Put in a chord's printed symbol."""
        return Chord.parse(chord).unicode

    def count(self, what: str = "strings", less: int = 0) -> str:
        """Put in how many there are, as a word: strings, levels, bars, scale, a chord's notes.

        Strings are those that sound in the lesson's shape, bars those of the tune as played.
        """
        counts = {
            "strings": len(self.front.shape.sounding),
            "levels": len(self.front.levels),
            "bars": self.front.tune.bar_count,
        }
        if what == "scale":
            counts[what] = len(self.front.climbing[0].notes)
        if what not in counts:
            counts[what] = len(Chord.parse(what).pcs)
        if not 0 <= less <= counts[what]:
            things = _COUNTED.get(what, f"notes of {what}")
            raise LessonError(
                f"less = {less} is out of range",
                rule=f"from 0 to {counts[what]}, the number of {things}",
            )
        return facts.number_word(counts[what] - less)

    def key(self) -> str:
        """Put in the tune's key."""
        return self.front.tune.key.unicode

    def changes(self, level: int) -> Text:
        """Put in the changes of a level as a line a row of bars, without shapes."""
        bars = self.played[self._level(level)].arrangement.bars()
        said = [" ".join(s.chord.unicode if s.chord else "N.C." for s in bar) for bar in bars]
        rows = (said[first : first + 4] for first in range(0, len(said), 4))
        return Text("  \n".join("| " + " | ".join(row) + " |" for row in rows), computed=True)

    def tune(self) -> str:
        """Put in the tune's title."""
        return self.front.tune.title

    def open_strings(self) -> str:
        """Put in the strings: ``g C E A``."""
        return self.front.instrument.tuning

    def diagram(self, frets: str, chord: str, marks: str = "roles", was: str = "") -> Picture:
        """Put in one shape as a box."""
        shown = Shown(self._voicing(frets), Chord.parse(chord))
        before = self._voicing(was) if was else None
        drawing = diagram(shown, marks=marks, was=before)
        digits, symbol = shown.shape.digits, shown.chord.unicode
        caption = f"{digits}; {symbol} {shown.lacking}" if shown.lacking else digits
        return self._picture(Picture((drawing,), (caption,), f"box-{digits}"))

    def side_by_side(self, *shapes: str) -> Picture:
        """Put in shapes beside each other, fret numbers and chord by turns, as from the first."""
        if not shapes or len(shapes) % 2 or len(shapes) > _MOST_BESIDE:
            raise LessonError(
                f"{len(shapes)} texts",
                rule=f"fret numbers and a chord by turns, {_MOST_BESIDE // 2} pairs at most",
                mend=EXAMPLES["side_by_side"],
            )
        row = [
            Shown(self._voicing(frets), Chord.parse(chord))
            for frets, chord in zip(shapes[::2], shapes[1::2], strict=True)
        ]
        first = row[0].shape
        drawings = [diagram(row[0], marks="roles")]
        drawings += [diagram(each, marks="roles", was=first) for each in row[1:]]
        captions = [
            f"{each.shape.digits}; {each.chord.unicode} {each.lacking}" if each.lacking
            else each.shape.digits for each in row
        ]  # fmt: skip
        name = "-".join(["beside", *(each.shape.digits.replace("-", "") for each in row[:2])])
        return self._picture(Picture(tuple(drawings), tuple(captions), name))

    def lowered_diagrams(self) -> Picture:
        """Put in the lesson's shape with each string lowered in turn."""
        front = self.front
        labels = front.instrument.labels
        ways = lowered(front.shape, front.shape_chord)
        drawings = [diagram(after, marks="roles", was=front.shape) for _, _, after in ways]
        captions = [f"lower {labels[s]}; resolves to {way.target.unicode}" for s, way, _ in ways]
        return self._picture(Picture(tuple(drawings), tuple(captions), "lowered"))

    def clock(self, chord: str, was: str = "") -> Picture:
        """Put in a chord on the clock."""
        before = Chord.parse(was) if was else None
        shown = Chord.parse(chord)
        name = f"clock-{slug(shown.symbol)}"
        drawing = draw_clock(shown, was=before)
        moved = before is not None
        heard = shapes_heard(self.front, [before, shown] if before else [shown])
        return self._picture(
            Picture((drawing,), ("",), name, clock_of=shown, moved=moved, heard=heard)
        )

    def neck(self) -> Picture:
        """Put in the lesson's scale on the neck."""
        drawing = along_the_neck(climb(self.front))
        return self._picture(Picture((drawing,), ("",), "neck"))

    def cube(self, chord: str = "") -> Picture:
        """Put in the chords that alternate with a diminished seventh, as a cube."""
        between = Chord.parse(chord) if chord else self.front.shape_chord
        name = f"cube-{slug(between.symbol)}"
        drawing = draw_cube(between)
        heard = walk(self.front, chords_of(between.symbol)[CORNERS[0]])
        return self._picture(Picture((drawing,), ("",), name, heard=heard))

    def staff(self, level: int, *bars: int) -> Picture:
        """Put in a level on a staff, chords and shapes too: all, a bar, or from bar to bar."""
        from harmonykit.draw.staves.staff import bars_between, draw_staff

        arrangement = self.played[self._level(level)].arrangement
        if len(bars) > 2:
            raise LessonError(f"{len(bars)} bars", rule="one bar, or the first and the last")
        ends = bars * 2 if len(bars) == 1 else bars
        shown = bars_between(arrangement, *ends)
        steps = [step for bar in shown for step in arrangement.bars()[bar]]
        shapes = [step.voicing.digits for step in steps if step.voicing]
        heard = tuple(shape for shape, _ in groupby(shapes)) if len(shapes) <= _MOST_HEARD else ()
        name = "-".join(["staff", str(level), *map(str, bars)])
        return self._picture(Picture((draw_staff(arrangement, *ends),), ("",), name, heard=heard))

    def four_dominants(self, chord: str) -> Table:
        """Put in the four dominants of a diminished seventh and where each resolves."""
        rows = [
            (facts.say_move(way.lowered), way.parent.unicode, way.target.unicode, _steps(way))
            for way in resolutions(Chord.parse(chord))
        ]
        header = ("Lower one note", "Dominant", "Resolves to", "From the diminished seventh")
        return Table(header, tuple(rows))

    def scale_shapes(self) -> Table:
        """Put in the shapes of the lesson's scale, one a row."""
        rows = [
            (one.printed, one.shape.digits, notes_heard(one.shape, one.chord))
            for one in climb(self.front)
        ]
        return Table(("Chord", "Shape", "Notes"), tuple(rows), self.front.climbing[0].name)

    def dominants(self) -> Table:
        """Put in the tune's dominants: bars, what follows, and the melody where there is one."""
        tune = self.front.tune
        header = ("Dominant", "Bars", "Then")
        sung = ("Melody",) if tune.melody else ()
        return Table((*header, *sung), tuple(dominant_rows(tune)))

    def chart(self, level: int) -> Chart:
        """Put in the chart of a level, counted from 1."""
        return Chart(self._level(level))

    def _level(self, number: int) -> int:
        if not isinstance(number, int) or not 1 <= number <= len(self.played):
            raise LessonError(f"unknown level {number}", rule=f"1 to {len(self.played)}")
        return number - 1

    def added_chords(self, level: int) -> Table:
        """Put in every kind of added chord of a level with its bars, shape and reason."""
        arrangement = self._arranged(level)
        numbers = arrangement.tune.numbers
        found: dict[tuple[str, str, str], list[int]] = {}
        for step in arrangement.added:
            if step.chord is not None and step.voicing is not None and not step.alone:
                shown = Shown(step.voicing, step.chord)
                key = (shown.printed, step.voicing.digits, step.reason)
                found.setdefault(key, []).append(numbers[step.bar][0])
        rows = [(_bars(bars), *key) for key, bars in found.items()]
        return Table(("Bars", "Chord", "Shape", "Why"), tuple(rows))

    def comparison(self) -> Table:
        """Put in the levels compared by numbers."""
        found = [(played.level.name, measure(played.arrangement)) for played in self.played]
        rows = [
            (
                name,
                str(row.added),
                str(row.shapes),
                str(row.highest_fret),
                str(row.semitones),
                f"{row.travel_mm:.0f}",
            )
            for name, row in found
        ]
        header = ("Level", "Added", "Shapes", "Highest fret", "Semitones", "Travel (mm)")
        return Table(header, tuple(rows))


_FREE: dict[str, Callable[..., facts.Proved]] = {
    **every_root.ABOUT_CHORDS,
    "exactly": every_root.exactly,
    "always": every_root.always,
    "chords_holding": holding,
}
# In the order in which the reference has them; what is not free of a lesson is a method.
_STATED = (
    *every_root.ABOUT_CHORDS, "exactly", "always", "sounds", "repeats", "strings_move", "bars_of",
    "melody_over", "chords_holding", "added", "half_step_below", "prepared", "strings_stay",
    "highest_fret", "shortest_chord",
)  # fmt: skip


def stated(of: Functions | type[Functions]) -> dict[str, Callable[..., facts.Proved]]:
    """Return the statements by name: of a lesson, or unbound, for what is said about them."""
    return {name: _FREE[name] if name in _FREE else getattr(of, f"_{name}") for name in _STATED}


def _steps(way: Resolution) -> str:
    return join_words([facts.say_move(move) for move in way.moves])


def _fret_word(fret: int) -> str:
    return "open" if fret == 0 else facts.number_word(fret)


def _bars(bars: Iterable[int]) -> str:
    return ", ".join(map(str, dict.fromkeys(bars)))
