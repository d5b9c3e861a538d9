"""The calls of a lesson's text: what each puts in.

``Functions(front, played)`` has one public method for each call; ``table()`` hands them out by
name, with every statement of ``facts`` among them.
"""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from harmonykit.arrange.written import printed_numbers
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.sets.cube import CORNERS, chords_of, draw_cube
from harmonykit.errors import need_one_of
from harmonykit.files.file import slug
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan import model
from harmonykit.lesson.plan.shown import (
    Shown,
    along_the_neck,
    for_both_hands,
    notes_heard,
)
from harmonykit.lesson.plan.starts import climb, lowered, shapes_heard, walk
from harmonykit.lesson.statements import counted, signature, stated, turning
from harmonykit.lesson.statements.calls import Function
from harmonykit.lesson.statements.sounding import heard
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, resolutions
from harmonykit.theory.printed import printed_chord
from harmonykit.words.numbers import join_words
from harmonykit.words.numbers import number as number_word

_COUNTED = {"strings": "strings", "levels": "levels", "bars": "bars", "scale": "notes of the scale"}
# A longer way is what a chart plays.
_MOST_HEARD = 16
_MOST_BESIDE = 12


class Functions(stated.Statements):
    """What a lesson's text may call."""

    # Statements stand beside these: see ``statements``.
    PUT_IN = (
        "shape", "scale_shape", "frets_aloud", "notes", "name", "count", "tune",
        "key", "open_strings", "diagram", "side_by_side", "lowered_diagrams",
        "clock", "neck", "cube",
        "staff", "four_dominants", "scale_shapes", "dominants", "chart", "changes",
        "added_chords", "comparison",
        "proved", "label", "paper",
    )  # fmt: skip

    def __init__(self, front: model.Front, played: tuple[model.Played, ...]) -> None:
        super().__init__(front, played)
        self._shown: dict[str, model.Picture] = {}

    def table(self) -> dict[str, Function]:
        """Return all calls by name."""
        calls: dict[str, Function] = {name: getattr(self, name) for name in self.PUT_IN}
        return calls | {name: self._stated(prove) for name, prove in self.statements().items()}

    def _picture(self, name: str, *drawings: Drawing, **about: Any) -> model.Picture:
        """Return a picture under a name of its own; one that is shown again keeps its name."""
        about.setdefault("captions", ("",) * len(drawings))
        count, own = 1, name
        while True:
            picture = model.Picture(drawings, name=own, **about)
            if self._shown.setdefault(own, picture) == picture:
                return picture
            count += 1
            own = f"{name}-{count}"

    def shape(self, frets: str = "") -> str:
        """Put in a shape as fret numbers: ``2-3-2-3``.

        The lesson's own stands for its chord: what it lacks of that is said behind it.
        """
        lacking = "" if frets else Shown(self.front.shape, self.front.shape_chord).lacking
        return f"{self._voicing(frets).digits}{f' ({lacking})' if lacking else ''}"

    def scale_shape(self) -> str:
        """Put in the shape that the scale of the lesson starts from, as fret numbers."""
        return self.front.climbing[1].digits

    def frets_aloud(self, frets: str = "") -> str:
        """Put in a shape as read aloud: ``two, three, two, three``."""
        words = {None: "muted", 0: "open"}
        return ", ".join(words.get(f) or number_word(f or 0) for f in self._voicing(frets).frets)

    def notes(self, what: str = "") -> str:
        """Put in the notes of a chord, root first, or of a shape, string by string."""
        if not what or what[:1].isdigit() or what[:1] in "xX":
            return self._shape_notes(self._voicing(what))
        return heard(what).spelled

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

        Strings are those that sound in the lesson's shape, bars those of the tune as played,
        without an intro and a tag.
        """
        counts = {
            "strings": len(self.front.shape.sounding),
            "levels": len(self.front.levels),
            "bars": self.front.tune.bar_count - sum(self.front.tune.framing),
        }
        if what == "scale":
            counts[what] = len(self.front.climbing[0].notes)
        if what not in counts:
            counts[what] = len(Chord.parse(what).pcs)
        if not 0 <= less <= counts[what]:
            things = _COUNTED.get(what, f"notes of {what}")
            raise model.LessonError(
                f"less = {less} is out of range",
                rule=f"from 0 to {counts[what]}, the number of {things}",
            )
        return number_word(counts[what] - less)

    def paper(self, word: str = "yes") -> model.OnPaper:
        """Say that all of this section stands on the sheet ("yes"), or none of it ("no")."""
        if word not in ("yes", "no"):
            raise model.LessonError(f"paper is {word!r}", mend='paper("no")')
        return model.OnPaper(word)

    def key(self) -> str:
        """Put in the tune's key."""
        return self.front.tune.key.unicode

    def changes(self, level: int) -> model.Text:
        """Put in the changes of a level as a line a row of bars, without shapes."""
        bars = self.played[self._level(level)].arrangement.bars()
        said = [" ".join(printed_chord(s.chord) for s in bar) for bar in bars]
        rows = (said[first : first + 4] for first in range(0, len(said), 4))
        return model.Text("  \n".join("| " + " | ".join(row) + " |" for row in rows), computed=True)

    def tune(self) -> str:
        """Put in the tune's title."""
        return self.front.tune.title

    def open_strings(self) -> str:
        """Put in the strings: ``g C E A``."""
        return self.front.instrument.tuning

    def diagram(self, frets: str, chord: str, marks: str = "roles", was: str = "") -> model.Picture:
        """Put in one shape as a chord diagram."""
        shown = Shown(self._voicing(frets), Chord.parse(chord))
        before = self._voicing(was) if was else None
        drawing, turned = for_both_hands(shown, marks, before)
        name = f"box-{shown.shape.digits}"
        return self._picture(name, drawing, captions=(_caption(shown),), mirrored=(turned,))

    def side_by_side(self, *shapes: str, was: str = "first") -> model.Picture:
        """Put in shapes beside each other, frets and chord by turns; was="before": in a row."""
        if not shapes or len(shapes) % 2 or len(shapes) > _MOST_BESIDE:
            raise model.LessonError(
                f"{len(shapes)} texts",
                rule=f"fret numbers and a chord, alternating, {_MOST_BESIDE // 2} pairs at most",
                mend=signature.EXAMPLES["side_by_side"],
            )
        row = [
            Shown(self._voicing(frets), Chord.parse(chord))
            for frets, chord in zip(shapes[::2], shapes[1::2], strict=True)
        ]
        need_one_of(was, "was", ("first", "before"))
        olds = row[:-1] if was == "before" else [row[0]] * (len(row) - 1)
        before = [None, *(old.shape for old in olds)]
        both = [for_both_hands(each, "roles", old) for each, old in zip(row, before, strict=True)]
        drawings, turned = zip(*both, strict=True)
        name = "-".join(["beside", *(each.shape.digits.replace("-", "") for each in row[:2])])
        return self._picture(name, *drawings, captions=tuple(map(_caption, row)), mirrored=turned)

    def lowered_diagrams(self) -> model.Picture:
        """Put in the lesson's shape with each string lowered in turn."""
        front = self.front
        labels = front.instrument.labels
        ways = lowered(front.shape, front.shape_chord)
        both = [for_both_hands(after, "roles", front.shape) for _, _, after in ways]
        drawings, turned = zip(*both, strict=True) if both else ((), ())
        captions = (f"lower {labels[s]}; resolves to {way.target.unicode}" for s, way, _ in ways)
        return self._picture("lowered", *drawings, captions=tuple(captions), mirrored=turned)

    def clock(self, chord: str, was: str = "") -> model.Picture:
        """Put in a chord on the clock."""
        before = Chord.parse(was) if was else None
        shown = Chord.parse(chord)
        heard = shapes_heard(self.front, [before, shown] if before else [shown])
        return self._picture(
            f"clock-{slug(shown.symbol)}", draw_clock(shown, was=before),
            clock_of=shown, clock_was=before, moved=before is not None, heard=heard,
        )  # fmt: skip

    def neck(self) -> model.Picture:
        """Put in the lesson's scale on the neck."""
        row = climb(self.front)
        turned = along_the_neck(row, left_handed=True)
        return self._picture("neck", along_the_neck(row), mirrored=(turned,))

    def cube(self, chord: str = "") -> model.Picture:
        """Put in the chords that alternate with a diminished seventh, as a cube."""
        between = Chord.parse(chord) if chord else self.front.shape_chord
        heard = walk(self.front, chords_of(between.symbol)[CORNERS[0]])
        return self._picture(f"cube-{slug(between.symbol)}", draw_cube(between), heard=heard)

    def staff(self, level: int, *bars: int) -> model.Picture:
        """Put in a level on a staff, chords and shapes too: all, a bar, or from bar to bar."""
        from harmonykit.draw.staves.staff import bars_between, draw_staff

        arrangement = self.played[self._level(level)].arrangement
        if len(bars) > 2:
            raise model.LessonError(f"{len(bars)} bars", rule="one bar, or the first and the last")
        ends = bars * 2 if len(bars) == 1 else bars
        shown = bars_between(arrangement, *ends)
        steps = [step for bar in shown for step in arrangement.bars()[bar]]
        shapes = [step.voicing.digits for step in steps if step.voicing]
        heard = tuple(shape for shape, _ in groupby(shapes)) if len(shapes) <= _MOST_HEARD else ()
        name = "-".join(["staff", str(level), *map(str, bars)])
        return self._picture(name, draw_staff(arrangement, *ends), heard=heard)

    def four_dominants(self, chord: str) -> model.Table:
        """Put in the four dominants of a diminished seventh and where each resolves."""
        rows = [
            (turning.move_said(way.lowered), way.parent.unicode, way.target.unicode, _steps(way))
            for way in resolutions(Chord.parse(chord))
        ]
        header = ("Lower one note", "Dominant", "Resolves to", "From the diminished seventh")
        return model.Table(header, tuple(rows))

    def scale_shapes(self) -> model.Table:
        """Put in the shapes of the lesson's scale, one a row."""
        rows = [
            (one.printed, one.shape.digits, notes_heard(one.shape, one.chord))
            for one in climb(self.front)
        ]
        return model.Table(("Chord", "Shape", "Notes"), tuple(rows), self.front.climbing[0].name)

    def dominants(self) -> model.Table:
        """Put in the tune's dominants: bars, what follows, and the melody where there is one."""
        tune = self.front.tune
        header = ("Dominant", "Bars", "Then")
        sung = ("Melody",) if tune.melody else ()
        return model.Table((*header, *sung), tuple(counted.dominant_rows(tune)))

    def chart(self, level: int) -> model.Chart:
        """Put in the chart of a level, counted from 1."""
        return model.Chart(self._level(level))

    def added_chords(self, level: int) -> model.Table:
        """Put in every kind of added chord of a level with its bars, shape and reason."""
        arrangement = self._arranged(level)
        numbers = printed_numbers(arrangement)
        found: dict[tuple[str, str, str], list[int]] = {}
        for step in arrangement.added:
            if step.chord is not None and step.voicing is not None and not step.alone:
                shown = Shown(step.voicing, step.chord)
                key = (shown.printed, step.voicing.digits, step.reason)
                found.setdefault(key, []).append(numbers[step.bar][0])
        rows = [(_bars(bars), *key) for key, bars in found.items()]
        return model.Table(("Bars", "Chord", "Shape", "Why"), tuple(rows))

    def comparison(self) -> model.Table:
        """Put in the levels compared by numbers."""
        found = [(played.level.name, played.measures) for played in self.played]
        rows = [
            (name, *map(str, (m.added, m.shapes, m.highest_fret, m.semitones, m.travel_mm)))
            for name, m in found
        ]
        header = ("Level", "Added", "Shapes", "Highest fret", "Semitones", "Travel (mm)")
        return model.Table(header, tuple(rows))


def _steps(way: Resolution) -> str:
    return join_words([turning.move_said(move) for move in way.moves])


def _caption(shown: Shown) -> str:
    """Return a shape's frets, and what of its chord it leaves out."""
    digits = shown.shape.digits
    return f"{digits}; {shown.chord.unicode} {shown.lacking}" if shown.lacking else digits


def _bars(bars: Iterable[int]) -> str:
    return ", ".join(map(str, dict.fromkeys(bars)))
