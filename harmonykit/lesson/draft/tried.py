"""Where an idea stands in a tune, and what comes of it there.

The idea is moved to where the chords of its place stand in the tune.  Each of its levels is played
as the lesson will play it, and kept where it finds places and sounds like none before.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import Any

from harmonykit.arrange.moves import move_named
from harmonykit.arrange.slots import slots_of
from harmonykit.errors import HarmonyError
from harmonykit.evidence.kinds import kind_of
from harmonykit.fretboard.hands.hand import REACHES
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.ideas.becomes import Becomes, becomes
from harmonykit.ideas.source import Source, as_source
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.draft import ideas, offers
from harmonykit.lesson.plan import keys, starts
from harmonykit.lesson.plan.idea import Idea
from harmonykit.lesson.plan.levels import LevelReader
from harmonykit.lesson.plan.model import Front, LessonError, Played
from harmonykit.lesson.statements.counted import dominants_of
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words

_MOST_TUNES = 3
_BY_VOICES = ("lower", "raise", "move")
_MOVING = (*_BY_VOICES, "turn", "slide", "alternates")
# The moves by which a chord of a kind comes into a tune, where an idea names no levels.
_BRING = {
    "dim7": ("rootless dominant", "leading-tone diminished"), "7": ("tritone substitution",),
    "m6": ("rootless ninth",), "9": ("rootless ninth",), "6": ("ascending walk",),
    "m7b5": ("half-diminished ii before a dominant",), "+": ("rising line cliché",),
}  # fmt: skip
# The moves that make a change themselves; what they change can be taught on the tune as it is.
_MAKE = {"same notes": ("chord synonym",)}
# What chords of a tune may stand for a chord of an idea, by kinds as they are counted.
_LIKE = {
    "7": ("7",), "6": ("6", "maj7"), "maj7": ("6", "maj7"), "m": ("m", "m6", "m7", "mmaj7"),
    "m7": ("m7", "m"), "m6": ("m6", "m"), "mmaj7": ("mmaj7", "m"), "dim7": ("dim7",),
    "m7b5": ("m7b5",), "+": ("+",), "sus": ("sus",),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tried:
    """A level of the idea that the tune has places for, as it is typed and as it is played."""

    table: Mapping[str, Any]
    text: str
    played: Played
    hand: int

    @property
    def moves(self) -> tuple[str, ...]:
        """The moves that may be used."""
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
    return ideas.STATIONS[move].name if move in ideas.STATIONS else move[0].upper() + move[1:]


@dataclass(frozen=True)
class Placed:
    """An idea on a tune.

    Parameters
    ----------
    written : Idea
        As its file has it.
    tune : Tune
        In the lesson's key.
    instrument : Instrument
    """

    written: Idea
    tune: Tune
    instrument: Instrument

    @cached_property
    def levels(self) -> tuple[Tried, ...]:
        """The levels, the tune as written first; none where the tune has no place for any.

        Each is played as the lesson will play it, beside those before it.
        """
        tables = list(enumerate(self.written.levels or self._brought))
        found: list[Tried] = []
        if not tables or moves_of(tables[0][1]) or "choruses" in tables[0][1]:
            tables.insert(0, (0, {"name": ideas.AS_WRITTEN.name}))
        for index, table in tables:
            level = self._played(index, table, found)
            # What sounds like the level before it is nothing new.
            if level and not (found and level.heard == found[-1].heard):
                found.append(level)
        # Of an idea with levels one at least is more than the tune as written; one that names its
        # place and no levels is found in the tune as it is.
        stands = bool(self.written.text("place")) and not self.written.levels
        enough = len(tables) == 1 or stands or self.written.text("change") in _MAKE
        return tuple(found) if found and (len(found) > 1 or enough) else ()

    @property
    def _brought(self) -> tuple[Mapping[str, Any], ...]:
        """The levels of an idea that names none: a move for each kind of chord in it."""
        text = self.written.text("source")
        if not text:
            return ()
        source = self._read(text)
        ways = self._become(source, self.written)
        chords = [source.chord, *(way.after for way in ways)]
        kinds = dict.fromkeys(chord.quality for chord in chords if chord is not None)
        made = _MAKE.get(self.written.text("change"))
        moves = dict.fromkeys(made or (move for kind in kinds for move in _BRING.get(kind, ())))
        return tuple({"moves": [move]} for move in moves)

    def _played(self, index: int, table: Mapping[str, Any], before: list[Tried]) -> Tried | None:
        """Return a level at the smallest reach at which it finds a place, if there is one."""
        own = {key: value for key, value in table.items() if key != "text"}
        moves = moves_of(own)
        if own.get("texture") == CHORD_MELODY and not self.tune.melody:
            return None
        own.setdefault("name", _named(moves[0]) if moves else ideas.AS_WRITTEN.name)
        if "choruses" not in own:
            own.setdefault("moves", [])
        if len(moves) == 1 and not {"prefer_move", "style"} & own.keys():
            own["prefer_move"] = moves[0]
        reaches = tuple(REACHES)
        least = max([2, *(level.hand for level in before)]) if before else 1
        hands = range(least, len(reaches) + 1)
        if own.get("reach") in reaches:
            hands = range(reaches.index(own["reach"]) + 1, reaches.index(own["reach"]) + 2)
        for hand in hands:
            tried = {**own, "reach": reaches[hand - 1]}
            tried.setdefault("tempo", offers.tempo_at(self.tune, hand))
            tried.setdefault("watch", self._watch(moves) if before else ideas.AS_WRITTEN.watch)
            level = LevelReader(
                self.written.places, index, tried, self.tune, self.instrument, keys.FORMAT
            ).level()
            levels = (*(each.played.level for each in before), level)
            try:
                played = play_level(replace(self._front, levels=levels), len(before))
            except LessonError:
                continue
            return Tried(tried, str(table.get("text", "")), played, hand)
        return None

    @cached_property
    def _front(self) -> Front:
        """A header that its levels can be tried in."""
        chord = Chord.of(self.tune.key.tonic)
        shape = starts.shape_of(chord, self.instrument)
        name = Path(self.written.places.name)
        return Front(name, "", "", "", "", self.tune, self.instrument, shape, chord, None, None, ())

    def _watch(self, moves: tuple[str, ...]) -> str:
        if moves and moves[0] in ideas.STATIONS:
            return ideas.STATIONS[moves[0]].watch
        return self.written.text("hear")

    @property
    def fits(self) -> bool:
        """Whether the tune has a place for the idea."""
        return self._stands and bool(self.levels)

    @property
    def _stands(self) -> bool:
        """Whether the tune has the chords of the place, if the idea names one."""
        wanted = self.written.text("place")
        return not wanted or next(rows_of(self.tune, wanted), None) is not None

    def no_place(self) -> LessonError:
        """Return the error that names the place and tunes that have one.

        Where the tune has the chords of the place, it is the levels that come to nothing.
        """
        row = self.written.text("place")
        if row and self._stands and self.written.levels:
            return self._adds_nothing()
        wanted = f"{row.replace('|', ' or ')} in any key" if row else "a place for its moves"
        fitting = (name for name in shipped("tunes") if fits(self.written, name, self.instrument))
        return LessonError(
            f"{self.tune.title!r} has no place for the idea {self.written.name!r}",
            rule=f"the idea needs {wanted}",
            mend=" or ".join(islice(fitting, _MOST_TUNES)) or "another tune",
        )

    def _adds_nothing(self) -> LessonError:
        names = (move for table in self.written.levels for move in moves_of(table))
        asked = tuple(dict.fromkeys(names))
        there = " ".join(
            chord.unicode for chord in next(rows_of(self.tune, self.written.text("place")))[1]
        )
        why = f"find no place for {join_words(asked)}" if asked else "name no moves"
        return LessonError(
            f"no level of the idea {self.written.name!r} adds anything to {self.tune.title!r}",
            rule=f"its place is there, {there}; its levels {why}",
            mend="other moves (harmonykit idioms lists them), or leave [[levels]] out: the idea is "
            "then shown on the tune as written; or another tune",
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
            chord = self._read(source).chord if source else None
            if chord is None:
                return self.written
            start, goal = chord.root, self._like(chord).root
        moved = self.written.moved(start.interval_to(goal.plain()))
        return moved.with_names(self._as_in_the_tune(moved)) if place else moved

    def _as_in_the_tune(self, moved: Idea) -> dict[str, str]:
        """Return what the tune calls each chord of the place."""
        words = zip(moved.text("place").split(), self.row, strict=True)
        return {each: have.symbol for word, have in words for each in word.split("|")}

    def _like(self, chord: Chord) -> Chord:
        """Return the first chord of the tune of a chord's kind, else one on its tonic.

        A fuller or a plainer one will do, best on the same root.
        """
        own = [change.chord for change in self.tune.changes if change.chord is not None]
        added = [step.chord for level in self.levels for step in level.played.arrangement.added]
        same = [one for one in (*own, *filter(None, added)) if one.quality == chord.quality]
        up = chord.root.pitch_class
        alike = same or [one for one in own if _alike(one, chord, one.root.pitch_class - up)]
        home = Chord.of(self.tune.key.tonic, chord.quality)
        return min(alike, key=lambda one: one.root.pitch_class != up, default=home)

    @cached_property
    def source(self) -> Source | None:
        """What it starts from."""
        text = self.idea.text("source")
        return self._read(text) if text else None

    def _read(self, text: str) -> Source:
        """Return what an idea starts from; what is wrong with it is placed in the idea's file."""
        try:
            return as_source(text, self.instrument)
        except HarmonyError as error:
            raise error.at(self.written.at("source")) from None

    @cached_property
    def ways(self) -> tuple[Becomes, ...]:
        """What the source becomes."""
        return () if self.source is None else self._become(self.source, self.idea)

    def _become(self, source: Source, idea: Idea) -> tuple[Becomes, ...]:
        """Return what a source becomes as an idea changes it."""
        try:
            return becomes(source, idea.text("change"), idea.text("target"))
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
        """Its shape: the tune's own where that will do for what the idea does with it."""
        scale = self.scale
        if scale is not None and scale.chord.pcs == self.chord.pcs:
            return starts.climbing_shape(scale, self.instrument)
        first = self.levels[0].played.arrangement
        own = (step.voicing for step in first.steps if step.chord == self.chord and step.voicing)
        whole = (one for one in own if one.pcs == self.chord.pcs)
        if not (self.chord.is_diminished_seventh or self._changes_by(_MOVING)):
            return next(whole, None) or starts.usual_shape(self.chord, self.instrument)
        pairs = [(way.before, way.after) for way in self.ways]
        led = (one for one in whole if self._changes_by(_BY_VOICES) and starts.leads(one, pairs))
        return next(led, None) or starts.shape_of(self.chord, self.instrument)

    def _changes_by(self, words: tuple[str, ...]) -> bool:
        return self.idea.text("change").startswith(words)

    @cached_property
    def scale(self) -> SixthDiminished | None:
        """The scale of the idea, if it has one."""
        text = self.idea.text("scale")
        return SixthDiminished.parse(text) if text and text != "none" else None


def moves_of(table: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the moves of a level's table, idioms and walks among them."""
    moves = [*table.get("moves", ()), *table.get("idioms", ())]
    moves += keys.WALKS.get(str(table.get("walks", "none")), ())
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
    return Placed(idea, read_tune(find_data("tunes", tune_name)), instrument).fits
