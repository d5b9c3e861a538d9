"""A first draft of a lesson on a tune, from an idea that is data.

The idea is moved to where its chords stand in the tune; its levels are those for which the search
finds places; each change is drawn on the strings, before beside after.  Each statement about chords
is proved here already, so that a wrong one is told at its place in the idea's file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import Any

from harmonykit.arrange.moves import move_named
from harmonykit.arrange.slots import slots_of
from harmonykit.errors import HarmonyError
from harmonykit.evidence.kinds import kind_of
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.hands.limits import REACHES
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.nearest import nearest_shapes
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.ideas.becomes import Becomes, becomes
from harmonykit.ideas.source import Source, as_source
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.draft.ideas import STATIONS
from harmonykit.lesson.draft.offers import tempo_at
from harmonykit.lesson.plan.idea import Idea
from harmonykit.lesson.plan.keys import FORMAT, WALKS
from harmonykit.lesson.plan.levels import LevelReader
from harmonykit.lesson.plan.model import Front, LessonError, Played
from harmonykit.lesson.plan.shown import leading, may_show
from harmonykit.lesson.plan.source import FENCE
from harmonykit.lesson.plan.starts import HIGHEST_FRET, climbing_shape, movable_shape
from harmonykit.lesson.statements.calls import answer_call
from harmonykit.lesson.statements.counted import dominants_of
from harmonykit.lesson.statements.stated import about_chords_alone
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune

AS_WRITTEN = "As written"
_MOST_SHAPES, _MOST_TUNES = 4, 3
_MOVING = ("lower", "raise", "move", "turn", "slide", "alternates")
# What chords of a tune may stand for a chord of an idea, by kinds as they are counted.
_LIKE = {
    "7": ("7",), "6": ("6", "maj7"), "maj7": ("6", "maj7"), "m": ("m", "m6", "m7", "mmaj7"),
    "m7": ("m7", "m"), "m6": ("m6", "m"), "mmaj7": ("mmaj7", "m"), "dim7": ("dim7",),
    "m7b5": ("m7b5",), "+": ("+",), "sus": ("sus",),
}  # fmt: skip
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
    return _Draft(idea, tune, instrument).text(named)


@dataclass(frozen=True, slots=True)
class _Level:
    """A level of the idea that the tune has places for, as it is typed and as it is played."""

    table: Mapping[str, Any]
    text: str
    played: Played

    @property
    def moves(self) -> tuple[str, ...]:
        return self.played.level.moves

    @property
    def heard(self) -> tuple[object, ...]:
        """What is played, and when."""
        steps = self.played.arrangement.steps
        return tuple((step.onset, step.chord, step.voicing) for step in steps)

    @property
    def bars(self) -> tuple[int, ...]:
        """The bars with an added chord, in playing order from 0."""
        return tuple(step.bar for step in self.played.arrangement.added)


def _named(move: str) -> str:
    return STATIONS[move].name if move in STATIONS else move[0].upper() + move[1:]


@dataclass(frozen=True)
class _Draft:
    """An idea on a tune."""

    written: Idea
    tune: Tune
    instrument: Instrument

    @cached_property
    def levels(self) -> tuple[_Level, ...]:
        """The levels, the tune as written first; none where the tune has no place for any.

        Each is played as the lesson will play it, beside those before it.
        """
        tables = [(index, table) for index, table in enumerate(self.written.levels)]
        found: list[_Level] = []
        if not tables or moves_of(tables[0][1]) or "choruses" in tables[0][1]:
            tables.insert(0, (0, {"name": AS_WRITTEN}))
        for index, table in tables:
            level = self._played(index, table, found)
            # What sounds like the level before it is nothing new.
            if level and not (found and level.heard == found[-1].heard):
                found.append(level)
        # Of an idea with levels one at least is more than the tune as written.
        return tuple(found) if found and (len(tables) == 1 or len(found) > 1) else ()

    def _played(self, index: int, table: Mapping[str, Any], before: list[_Level]) -> _Level | None:
        """Return a level at the smallest reach at which it finds a place, if there is one."""
        own = {key: value for key, value in table.items() if key != "text"}
        moves = moves_of(own)
        if own.get("texture") == CHORD_MELODY and not self.tune.melody:
            return None
        own.setdefault("name", _named(moves[0]) if moves else AS_WRITTEN)
        if "choruses" not in own:
            own.setdefault("moves", [])
        if len(moves) == 1 and not {"prefer_move", "style"} & own.keys():
            own["prefer_move"] = moves[0]
        reaches = tuple(REACHES)
        hands = (reaches.index(own["reach"]) + 1,) if own.get("reach") in reaches else (
            (2, 3) if before else (1, 2, 3))  # fmt: skip
        for hand in hands:
            tried = {**own, "reach": reaches[hand - 1]}
            tried.setdefault("tempo", tempo_at(self.tune, hand))
            tried.setdefault("watch", self._watch(moves))
            level = LevelReader(
                self.written.places, index, tried, self.tune, self.instrument, FORMAT
            ).level()
            levels = (*(each.played.level for each in before), level)
            try:
                played = play_level(replace(self._front, levels=levels), len(before))
            except LessonError:
                continue
            return _Level(tried, str(table.get("text", "")), played)
        return None

    @cached_property
    def _front(self) -> Front:
        """A header that its levels can be tried in."""
        chord = Chord.of(self.tune.key.tonic)
        shape = shape_of(chord, self.instrument)
        name = Path(self.written.places.name)
        return Front(name, "", "", "", "", self.tune, self.instrument, shape, chord, None, None, ())

    def _watch(self, moves: tuple[str, ...]) -> str:
        if moves and moves[0] in STATIONS:
            return STATIONS[moves[0]].watch
        return self.written.text("hear")

    @property
    def fits(self) -> bool:
        """Whether the tune has a place for the idea."""
        wanted = self.written.text("place")
        if wanted and next(rows_of(self.tune, wanted), None) is None:
            return False
        return bool(self.levels)

    def _no_place(self) -> LessonError:
        row = self.written.text("place")
        wanted = f"{row.replace('|', ' or ')} in any key" if row else "a place for its moves"
        fitting = (name for name in shipped("tunes") if fits(self.written, name, self.instrument))
        return LessonError(
            f"{self.tune.title!r} has no place for the idea {self.written.name!r}",
            rule=f"it stands at {wanted}",
            mend=" or ".join(islice(fitting, _MOST_TUNES)) or "another tune",
        )

    @cached_property
    def row(self) -> tuple[Chord, ...]:
        """The chords of the tune at which the idea stands; empty where it names none."""
        wanted = self.written.text("place")
        if not wanted:
            return ()
        rows = list(rows_of(self.tune, wanted))
        bars = {bar for level in self.levels for bar in level.bars}
        return next((row for bar, row in rows if bar in bars), rows[0][1])

    @cached_property
    def idea(self) -> Idea:
        """The idea moved to where it stands."""
        place, source = self.written.text("place"), self.written.text("source")
        if place:
            start = Chord.parse(place.split()[0].split("|")[0]).root
            goal = self.row[0].root
        else:
            chord = as_source(source, self.instrument).chord if source else None
            if chord is None:
                return self.written
            start, goal = chord.root, self._like(chord).root
        return self.written.moved(start.interval_to(goal.plain()))

    def _like(self, chord: Chord) -> Chord:
        """Return the first chord of the tune of a chord's kind, else one on its tonic."""
        own = [change.chord for change in self.tune.changes if change.chord is not None]
        added = [step.chord for level in self.levels for step in level.played.arrangement.added]
        same = [one for one in (*own, *filter(None, added)) if one.quality == chord.quality]
        return same[0] if same else Chord.of(self.tune.key.tonic, chord.quality)

    @cached_property
    def source(self) -> Source | None:
        """What it starts from."""
        text = self.idea.text("source")
        try:
            return as_source(text, self.instrument) if text else None
        except HarmonyError as error:
            raise error.at(self.written.at("source")) from None

    @cached_property
    def ways(self) -> tuple[Becomes, ...]:
        """What the source becomes."""
        if self.source is None:
            return ()
        try:
            return becomes(self.source, self.idea.text("change"), self.idea.text("target"))
        except HarmonyError as error:
            raise error.at(self.written.at("change")) from None

    @cached_property
    def chord(self) -> Chord:
        """The chord that the lesson starts from."""
        if self.source is not None and self.source.chord is not None:
            return self.source.chord.easy()
        if self.ways:
            return self.ways[0].after
        if self.row:
            return self.row[0]
        lead = [one for one in dominants_of(self.tune) if one.resolves]
        longest = max(lead, key=lambda one: one.longest, default=None)
        return longest.chord if longest else Chord.of(self.tune.key.tonic)

    @cached_property
    def shape(self) -> Voicing:
        """Its shape: one that can be moved or carried where that is what the idea does with it."""
        scale = self._own_scale
        if scale is not None and scale.chord.pcs == self.chord.pcs:
            return climbing_shape(scale, self.instrument)
        if self.idea.text("change").startswith(_MOVING) or self.chord.is_diminished_seventh:
            return shape_of(self.chord, self.instrument)
        return usual_shape(self.chord, self.instrument)

    @cached_property
    def _own_scale(self) -> SixthDiminished | None:
        text = self.idea.text("scale")
        return SixthDiminished.parse(text) if text and text != "none" else None

    def text(self, named: Sequence[str]) -> str:
        """Return the whole file."""
        if not self.fits:
            raise self._no_place()
        idea = self.idea
        below = idea.question if idea.title != idea.question else self.tune.title
        front = [
            FENCE,
            f"format = {FORMAT}",
            f"title = {toml_string(idea.title)}",
            f"subtitle = {toml_string(below)}",
            *named,
            f"idea = {toml_string(self.written.called)}",
            f"instrument = {toml_string(self.instrument.name)}",
            *self._others(),
            f"chord = {toml_string(self.chord.symbol)}",
            f"chord_shape = {toml_string(self.shape.digits)}",
            *self._scale(),
        ]
        for level in self.levels:
            front += self._header(level)
        body = "\n\n".join(filter(None, self._sections()))
        return "\n".join([*front, FENCE, "", body, ""])

    def _others(self) -> Iterator[str]:
        others = [name for name in self.idea.listed("other_instruments")
                  if name != self.instrument.name]  # fmt: skip
        if others:
            yield f"other_instruments = {toml_strings(others)}"

    def _scale(self) -> Iterator[str]:
        scale = self._own_scale
        if scale is not None:
            climbing_shape(scale, self.instrument)
            yield f"scale = {toml_string(f'{scale.tonic.name} {scale.kind}')}"

    def _header(self, level: _Level) -> Iterator[str]:
        yield ""
        yield "[[levels]]"
        yield from (f"{key} = {_typed(value)}" for key, value in level.table.items() if value != "")

    def _sections(self) -> Iterator[str]:
        idea, first, *others = self.idea, *self.levels
        yield "\n\n".join(filter(None, (f"## {first.played.level.name}", *self._first(first))))
        yield "\n\n".join(filter(None, ("## The question", *self._question())))
        if self.ways or "change" in idea.listed("figures"):
            yield "\n\n".join(filter(None, ("## On the strings", *self._change())))
        for place, level in enumerate(others, 2):
            yield "\n\n".join(filter(None, self._level(level, place)))
        yield "\n\n".join(filter(None, ("## Why it is so", *self._reasons())))
        yield "## By numbers\n\n{{ comparison() }}"

    def _first(self, level: _Level) -> Iterator[str]:
        said = _numbered(level.text, 1)
        yield said or (
            '{{ tune() }} is in {{ key() }} and has {{ count("bars") }} bars as played. Play it '
            "twice before you read on."
        )
        yield "{{ chart(1) }}"

    def _question(self) -> Iterator[str]:
        yield self.idea.question
        where = self.row[0] if self.row else None
        if where is not None:
            yield f"{{{{ bars_of({toml_string(where.symbol)}) }}}} Play those bars first."
        yield self.idea.text("hear")

    def _change(self) -> Iterator[str]:
        if self.source is not None and self.source.chord is not None:
            yield "Hold **{{ shape() }}**: {{ frets_aloud() }}. {{ sounds() }}"
        groups: dict[str, list[Becomes]] = {}
        for way in self.ways:
            groups.setdefault(way.done, []).append(way)
        rows = [
            f"- {done[0].upper()}{done[1:]}: " + " or ".join(
                f'{{{{ name({toml_string(way.after.symbol)}) }}}}' for way in ways) + "."
            for done, ways in groups.items()
        ]  # fmt: skip
        yield "\n".join(rows)
        yield from self._figure("change") if "change" in self._figures else ()

    @property
    def _figures(self) -> tuple[str, ...]:
        if "figures" in self.written.values:
            return self.idea.listed("figures")
        return _DRAWN.get(self.idea.text("change"), _USUAL_FIGURES)

    def _level(self, level: _Level, place: int) -> Iterator[str]:
        yield f"## {level.played.level.name}"
        said = _numbered(level.text, place) or self._of_moves(level, place)
        counted = f" {{{{ added({place}) }}}}" if level.bars else ""
        yield f"{said}{counted}".strip()
        yield f"{{{{ chart({place}) }}}}"
        if level.bars:
            yield f"{{{{ added_chords({place}) }}}}"

    def _of_moves(self, level: _Level, place: int) -> str:
        told = [STATIONS[move].text for move in level.moves if move in STATIONS]
        return told[0].format(level=place) if told else ""

    def _reasons(self) -> Iterator[str]:
        yield self.idea.text("about")
        stated = self.idea.listed("statements") or tuple(self._statements())
        for call in stated:
            self._prove(call)
        yield " ".join(f"{{{{ {call} }}}}" for call in stated)
        for name in self._figures:
            if name != "change":
                yield from self._figure(name)

    def _statements(self) -> Iterator[str]:
        """Yield what the change states, each as a call."""
        change = self.idea.text("change")
        for way in self.ways[:_MOST_SHAPES]:
            if way.before is None:
                continue
            first, second = toml_string(way.before.symbol), toml_string(way.after.symbol)
            if way.before.pcs == way.after.pcs:
                yield f"same_notes({first}, {second})"
            elif change.endswith("one note"):
                yield f"semitones_apart({first}, {second}, 1)"
            else:
                both = way.before.pcs & way.after.pcs
                notes = [toml_string(way.before.spell(pc).plain().name) for pc in both]
                yield f"common_notes({', '.join((first, second, *notes))})"

    def _prove(self, call: str) -> None:
        functions = about_chords_alone()
        if call.partition("(")[0] in functions:
            try:
                answer_call(functions, call)
            except HarmonyError as error:
                at = "statements" if "statements" in self.written.values else "change"
                raise error.at(self.written.at(at)) from None

    def _figure(self, name: str) -> Iterator[str]:
        if name == "change":
            yield from self._before_beside_after()
        elif name == "clock" and self.source is not None and self.source.chord is not None:
            was = toml_string(self.source.chord.symbol)
            way = self.ways[0].after if self.ways else None
            same = way is None or way.pcs == self.source.chord.pcs
            yield (
                f"{{{{ clock({was}) }}}}" if way is None or same
                else f"{{{{ clock({toml_string(way.symbol)}, was={was}) }}}}"
            )  # fmt: skip
        elif name == "lowered":
            yield "{{ lowered_diagrams() }}"
        elif name == "map":
            yield f"{{{{ cube({toml_string(self.chord.symbol)}) }}}}"
        elif name == "neck":
            yield "{{ neck() }}\n\n{{ scale_shapes() }}"
        elif name == "staff":
            yield f"{{{{ staff({len(self.levels)}, 1, 4) }}}}"
        elif name.startswith("shapes "):
            yield self._row([Chord.parse(each) for each in name.split()[1:]])
        elif "(" in name:
            yield f"{{{{ {name} }}}}"

    def _before_beside_after(self) -> Iterator[str]:
        """Yield each change on the strings, four at most, the shape before it beside."""
        if not self.ways:
            return
        before = self.ways[0].before
        afters = [way.after for way in self.ways]
        for first in range(0, min(len(afters), 2 * _MOST_SHAPES), _MOST_SHAPES):
            group = afters[first : first + _MOST_SHAPES]
            yield self._row([before, *group] if before is not None else group)

    def _row(self, chords: Sequence[Chord]) -> str:
        """Return a call that puts shapes side by side, each the nearest to the first."""
        shapes: list[tuple[Voicing, Chord]] = []
        for chord in chords:
            near = self.shape if chord == self.chord else None
            found = near or near_shape(shapes[0][0] if shapes else self.shape, chord)
            if found is not None and may_show(found, chord):
                shapes.append((found, chord))
        pairs = [f"{toml_string(s.digits)}, {toml_string(c.symbol)}" for s, c in shapes]
        return f"{{{{ side_by_side({', '.join(pairs)}) }}}}" if pairs else ""


def _numbered(text: str, place: int) -> str:
    """Return a level's text in which the word ``level`` inside calls is its number."""
    return re.sub(r"\(level\b", f"({place}", text)


def _typed(value: Any) -> str:
    if isinstance(value, str):
        return toml_string(value)
    if isinstance(value, list | tuple):
        return toml_strings([str(each) for each in value])
    return f"{value:g}" if isinstance(value, float) else str(value)


def moves_of(table: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the moves of a level's table, idioms and walks among them."""
    moves = [*table.get("moves", ()), *table.get("idioms", ())]
    moves += WALKS.get(str(table.get("walks", "none")), ())
    return tuple(dict.fromkeys(move_named(str(name)).name for name in moves))


def rows_of(tune: Tune, place: str) -> Iterator[tuple[int, tuple[Chord, ...]]]:
    """Yield where chords of a tune stand as a place has them, in any key, with the bar.

    Bars count from 0 in playing order.  The tune is played round, so its first chord follows the
    last.

    Examples
    --------
    >>> blues = read_tune(find_data("tunes", "ropewalk_blues"))
    >>> [(bar, " ".join(map(str, row))) for bar, row in rows_of(blues, "G7 C|Cm")][:1]
    [(3, 'D7 Gm6')]
    """
    wanted = [[Chord.parse(each) for each in word.split("|")] for word in place.split()]
    own: list[tuple[int, Chord]] = []
    for slot in slots_of(tune):
        if slot.chord is not None and (not own or own[-1][1] != slot.chord):
            own.append((slot.pieces[-1].bar, slot.chord))
    for at in range(len(own)):
        row = [own[(at + step) % len(own)][1] for step in range(len(wanted))]
        up = (row[0].root.pitch_class - wanted[0][0].root.pitch_class) % 12
        if all(any(_alike(have, want, up) for want in wants)
               for have, wants in zip(row, wanted, strict=True)):  # fmt: skip
            yield own[at][0], tuple(row)


def _alike(have: Chord, want: Chord, up: int) -> bool:
    if (want.root.pitch_class + up - have.root.pitch_class) % 12:
        return False
    kind = kind_of(want.semitones)
    return kind_of(have.semitones) in _LIKE.get(kind, (kind,))


def fits(idea: Idea, tune_name: str, instrument: Instrument) -> bool:
    """Whether a shipped tune has a place for an idea."""
    return _Draft(idea, read_tune(find_data("tunes", tune_name)), instrument).fits


def shape_of(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the shape of a chord that a lesson starts from: movable, else the most usual."""
    try:
        return movable_shape(chord, instrument)
    except LessonError:
        return usual_shape(chord, instrument)


def usual_shape(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the most usual shape that a lesson may start from: with all tones, a fifth apart.

    Raises
    ------
    LessonError
        If the instrument has none.
    """
    for shape in find_voicings(chord, instrument, HIGHEST_FRET):
        try:
            return leading(shape, chord).shape
        except HarmonyError:
            continue
    return movable_shape(chord, instrument)


def near_shape(shape: Voicing, chord: Chord) -> Voicing | None:
    """Return the shape of a chord that is nearest to another shape, or ``None``."""
    for near in nearest_shapes(shape, chord):
        if may_show(near.voicing, chord):
            return near.voicing
    found = find_voicings(chord, shape.instrument, 9)
    return next((one for one in found if may_show(one, chord)), None)
