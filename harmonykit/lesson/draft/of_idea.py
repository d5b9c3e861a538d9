"""A first draft of a lesson on a tune, from an idea that is data.

What the idea does is asked before it is told, then drawn on the strings, before beside after.  Each
of its levels follows with its chart, and at the end what it rests on.  Each statement about chords
is proved here already, so that a wrong one is told at its place in the idea's file.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from harmonykit.arrange.moves import IN_TIME
from harmonykit.errors import HarmonyError
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.ideas.becomes import slid_by
from harmonykit.lesson.draft.ideas import STATIONS
from harmonykit.lesson.draft.tried import Placed, Tried
from harmonykit.lesson.plan import shown, starts
from harmonykit.lesson.plan.idea import Idea, statement_of
from harmonykit.lesson.plan.keys import FORMAT
from harmonykit.lesson.plan.source import FENCE
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.stated import about_chords_alone
from harmonykit.theory.chord import Chord
from harmonykit.tune.analysis.function import said_framing
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

_MOST_SHAPES = 4
_GOES = ("lead", "resolve")
_FIRST_CHANGED = 2
# What is drawn for a change where the idea does not say.
_DRAWN = {"alternates": ("change", "map"), "": ()}
_USUAL_FIGURES = ("change", "clock")


def draft_of_idea(idea: Idea, tune: Tune, named: Sequence[str], instrument: Instrument) -> str:
    """Return a lesson's text about an idea, on a tune that is in the lesson's key already.

    Parameters
    ----------
    idea : Idea
    tune : Tune
    named : sequence of str
        The lines of the header that name the tune, its number and its key.
    instrument : Instrument

    Raises
    ------
    LessonError
        If the tune has no place for the idea, with tunes that have; or a statement of the idea is
        not true.
    """
    return _Draft(Placed(idea, tune, instrument)).text(named)


@dataclass(frozen=True)
class _Draft:
    """An idea on a tune, in words."""

    placed: Placed

    def text(self, named: Sequence[str]) -> str:
        """Return the whole file."""
        if not self.placed.fits:
            raise self.placed.no_place()
        idea = self.placed.idea
        below = idea.question if idea.title != idea.question else self.placed.tune.title
        front = [
            FENCE,
            f"format = {FORMAT}",
            f"title = {toml_string(idea.title)}",
            f"subtitle = {toml_string(below)}",
            *named,
            f"idea = {toml_string(self.placed.written.called)}",
            f"instrument = {toml_string(self.placed.instrument.name)}",
            *self._others(),
            f"chord = {toml_string(self.placed.chord.symbol)}",
            f"chord_shape = {toml_string(self.placed.shape.digits)}",
            *self._scale(),
        ]
        for level in self.placed.levels:
            front += self._header(level)
        body = "\n\n".join(filter(None, self._sections()))
        return "\n".join([*front, FENCE, "", body, ""])

    def _others(self) -> Iterator[str]:
        others = [name for name in self.placed.idea.listed("other_instruments")
                  if name != self.placed.instrument.name]  # fmt: skip
        if others:
            yield f"other_instruments = {toml_strings(others)}"

    def _scale(self) -> Iterator[str]:
        scale = self.placed.scale
        if scale is not None:
            starts.climbing_shape(scale, self.placed.instrument)
            yield f"scale = {toml_string(f'{scale.tonic.name} {scale.kind}')}"

    def _header(self, level: Tried) -> Iterator[str]:
        yield ""
        yield "[[levels]]"
        yield from (f"{key} = {_typed(value)}" for key, value in level.table.items() if value != "")

    def _sections(self) -> Iterator[str]:
        first, *others = self.placed.levels
        yield _joined(f"## {first.played.level.name}", *self._first(first))
        yield _joined("## The question", *self._question())
        if self.placed.ways:
            yield _joined("## On the strings", *self._change())
        elif self._only_a_place:
            yield _joined("## On the strings", *self._along_the_place())
        for place, level in enumerate(others, 2):
            yield _joined(*self._level(level, place))
        if why := _joined(*self._reasons()):
            yield _joined("## Why it is so", why)
        yield "## By numbers\n\n{{ comparison() }}"

    def _first(self, level: Tried) -> Iterator[str]:
        said = _numbered(level.text, 1)
        yield said or (
            '{{ tune() }} is in {{ key() }} and has {{ count("bars") }} bars as played. Play it '
            "twice before you read on."
        )
        yield told_framing(self.placed.tune)
        yield "{{ chart(1) }}"

    def _question(self) -> Iterator[str]:
        yield self.placed.idea.question
        if self.placed.row:
            told = self.placed.row if self._only_a_place else self.placed.row[:1]
            names = dict.fromkeys(toml_string(chord.symbol) for chord in told)
            where = " ".join(f"{{{{ bars_of({name}) }}}}" for name in names)
            yield f"{where} Play those bars first."

    def _change(self) -> Iterator[str]:
        """Yield the source's shape, what is done to it, and then what comes of it."""
        if self._source_chord is not None:
            yield f"Hold **{{{{ shape() }}}}**: {{{{ frets_aloud() }}}}. {self._sounds}"
        done = list(dict.fromkeys(way.done for way in self.placed.ways))
        if self._goes:
            names = [f"{{{{ name({toml_string(way.after.symbol)}) }}}}" for way in self.placed.ways]
            yield f"Go on to {join_words(names)}. Which strings move, and which stay?"
        elif "change" in self._figures:
            yield "\n".join(f"- {each[0].upper()}{each[1:]}." for each in done)
            yield "Which chord is it?" if len(done) == 1 else "Which chord is it each time?"
        yield from self._figure("change") if "change" in self._figures else ()
        yield self.placed.idea.text("hear")

    @property
    def _sounds(self) -> str:
        """What the shape sounds: a statement, or which notes of the chord it leaves out."""
        shape, chord = self.placed.shape, self.placed.chord
        if shape.pcs == chord.pcs:
            return "{{ sounds() }}"
        lacking = shown.Shown(shape, chord).lacking
        return f"On these strings it is {{{{ name({toml_string(chord.symbol)}) }}}} {lacking}."

    @property
    def _only_a_place(self) -> bool:
        """Whether the idea says where it stands and leaves open what is to be seen there."""
        said = self.placed.written.values.keys() & {"source", "change", "figures", "levels"}
        return not said and len(self.placed.row) > 1

    def _along_the_place(self) -> Iterator[str]:
        """Yield the chords of the place side by side, each in the shape nearest to the last."""
        yield "Play these one after the other. Which strings move, and which stay?"
        yield self._row(self.placed.row, chained=True)
        yield self.placed.idea.text("hear")

    @property
    def _goes(self) -> bool:
        return self.placed.idea.text("change") in _GOES

    @property
    def _source_chord(self) -> Chord | None:
        return self.placed.source.chord if self.placed.source is not None else None

    @property
    def _figures(self) -> tuple[str, ...]:
        if "figures" in self.placed.written.values:
            return self.placed.idea.listed("figures")
        return _DRAWN.get(self.placed.idea.text("change"), _USUAL_FIGURES)

    def _level(self, level: Tried, place: int) -> Iterator[str]:
        yield f"## {level.played.level.name}"
        said = _numbered(level.text, place) or self._of_moves(level, place)
        # What only comes earlier or later adds no chord.
        new = bool(level.bars) and not set(level.moves) <= set(IN_TIME)
        counted = f" {{{{ added({place}) }}}}" if new else ""
        yield f"{said}{counted}".strip()
        # What the strings could not show is listened for where it first sounds.
        if place == _FIRST_CHANGED and not self.placed.ways:
            yield self.placed.idea.text("hear")
        yield f"{{{{ chart({place}) }}}}"
        if new:
            yield f"{{{{ added_chords({place}) }}}}"

    def _of_moves(self, level: Tried, place: int) -> str:
        told = [STATIONS[move].text for move in level.moves if move in STATIONS]
        return told[0].format(level=place) if told else ""

    def _reasons(self) -> Iterator[str]:
        yield self.placed.idea.text("about")
        stated = self.placed.idea.listed("statements") or tuple(self._statements())
        for call in stated:
            self._prove(call)
        yield " ".join(f"{{{{ {call} }}}}" for call in stated)
        for name in self._figures:
            if name != "change":
                yield from self._figure(name)

    def _statements(self) -> Iterator[str]:
        """Yield what the change states, each as a call."""
        change = self.placed.idea.text("change")
        calls = (statement_of(way, change) for way in self.placed.ways[:_MOST_SHAPES])
        yield from filter(None, calls)
        if self._only_a_place:
            for one, two in pairwise(self.placed.row):
                names = toml_string(one.symbol), toml_string(two.symbol)
                kept = [n for n in one.notes if n.pitch_class in two.pcs]
                if kept:
                    said = ", ".join([*names, *(toml_string(note.plain().name) for note in kept)])
                    yield f"common_notes({said})"

    def _prove(self, call: str) -> None:
        functions = about_chords_alone()
        if call.partition("(")[0] in functions:
            try:
                answer_call(functions, call)
            except HarmonyError as error:
                at = "statements" if "statements" in self.placed.written.values else "change"
                raise error.at(self.placed.written.at(at)) from None

    def _figure(self, name: str) -> Iterator[str]:
        """Yield what draws a figure of an idea: calls, each on a line of its own."""
        source = self._source_chord
        put = {
            "lowered": "{{ lowered_diagrams() }}",
            "map": f"{{{{ cube({toml_string(self.placed.chord.symbol)}) }}}}",
            "neck": "{{ neck() }}\n\n{{ scale_shapes() }}",
            "staff": f"{{{{ staff({len(self.placed.levels)}, 1, 4) }}}}",
        }
        if name == "change":
            yield from self._before_beside_after()
        elif name == "clock" and source is not None:
            yield self._clock(source)
        elif name.startswith("shapes "):
            yield self._row([Chord.parse(each) for each in name.split()[1:]], chained=True)
        elif "(" in name:
            yield f"{{{{ {name} }}}}"
        else:
            yield put.get(name, "")

    def _clock(self, source: Chord) -> str:
        was = toml_string(source.symbol)
        after = self.placed.ways[0].after if self.placed.ways else source
        if after.pcs == source.pcs:
            return f"{{{{ clock({was}) }}}}"
        return f"{{{{ clock({toml_string(after.symbol)}, was={was}) }}}}"

    def _before_beside_after(self) -> Iterator[str]:
        """Yield each change on the strings, four beside the shape before."""
        if not self.placed.ways:
            return
        before = self.placed.ways[0].before
        afters = [way.after for way in self.placed.ways]
        for first in range(0, min(len(afters), 2 * _MOST_SHAPES), _MOST_SHAPES):
            group = afters[first : first + _MOST_SHAPES]
            yield self._row([before, *group] if before is not None else group)

    def _row(self, chords: Sequence[Chord], *, chained: bool = False) -> str:
        """Return a call that puts shapes side by side, each from the first, or from the last."""
        shapes: list[tuple[Voicing, Chord]] = []
        for chord in chords:
            found = self._next(shapes[-1 if chained else 0] if shapes else None, chord)
            if found is not None and shown.may_show(found, chord):
                shapes.append((found, chord))
        pairs = [f"{toml_string(s.digits)}, {toml_string(c.symbol)}" for s, c in shapes]
        was = ', was="before"' if chained else ""
        return f"{{{{ side_by_side({', '.join(pairs)}{was}) }}}}" if pairs else ""

    def _next(self, last: tuple[Voicing, Chord] | None, chord: Chord) -> Voicing | None:
        """Return the shape of a chord: slid as the idea says, by the way its voices go, or near."""
        if last is None:
            own = chord == self.placed.chord and shown.may_show(self.placed.shape, chord)
            return self.placed.shape if own else starts.near_shape(self.placed.shape, chord)
        if up := slid_by(self.placed.idea.text("change")):
            slid = starts.slid_shape(last[0], up, chord)
            return slid or starts.near_shape(last[0], chord)
        by_voices = last[1].is_diminished_seventh or _one_note_moves(last[1], chord)
        led = by_voices and starts.led_shape(*last, chord)
        return led or starts.near_shape(last[0], chord)


def _one_note_moves(before: Chord, after: Chord) -> bool:
    """Whether one note goes a half step, on each string that has it."""
    gone, come = before.pcs - after.pcs, after.pcs - before.pcs
    return len(gone) == len(come) == 1 and (min(gone) - min(come)) % 12 in (1, 11)


def told_framing(tune: Tune) -> str:
    """Return the sentence of a draft that tells an intro and a tag apart; nothing without them."""
    framing = said_framing(tune)
    return f"There is {framing}; play what stands there as written." if framing else ""


def _joined(*parts: str) -> str:
    return "\n\n".join(filter(None, parts))


def _numbered(text: str, place: int) -> str:
    """Return a level's text in which the word ``level`` inside calls is its number."""
    return re.sub(r"\(level\b", f"({place}", text)


def _typed(value: Any) -> str:
    if isinstance(value, str):
        return toml_string(value)
    if isinstance(value, list | tuple):
        return toml_strings([str(each) for each in value])
    return f"{value:g}" if isinstance(value, float) else str(value)
