"""What a statement says every, some or none of: chords of a kind, notes, a level's chords, shapes.

A group is told in words: ``"dominant seventh"``, ``"notes of Bdim7"``, ``"chords D7 F7 Ab7 B7"``,
``"chords of the tune"``, ``"added chords of level 2"``, ``"shapes of level 2"``, ``"changes of
level 2"``, ``"fingers of level 2"``, ``"fingers from 2213 to 2212"``, ``"strings of 2213"``,
``"strings g C of 2213"``.
"""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

from harmonykit.arrange import slots, written
from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import counted, sounding
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.spelling import usual_root
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words, number

_LEVEL = re.compile(r"(?P<what>added chords|chords|shapes|changes|fingers) of level (?P<level>\d+)")
_STRINGS = re.compile(r"strings (?:(?P<names>\S.*?) )?of (?P<shape>\S+)")
_FINGERS = re.compile(r"fingers from (?P<before>\S+) to (?P<after>\S+)")

CHORD, NOTE, STEP, SHAPE, CHANGE, FINGER, STRING = (
    "chord", "note", "chord of a chart", "shape", "change of shape", "finger", "string",
)  # fmt: skip

TOLD = (
    "dominant seventh", "notes of Bdim7", "chords D7 F7 Ab7 B7", "chords of the tune",
    "chords of level 2", "added chords of level 2", "shapes of level 2", "changes of level 2",
    "fingers of level 2", "fingers from 2213 to 2212", "strings of 2213", "strings g C of 2213",
)  # fmt: skip
"""One example of each way in which a group is told."""


@dataclass(frozen=True, slots=True)
class Around:
    """The lesson that a statement stands in: its instrument, its tune, its levels as arranged."""

    instrument: Instrument
    tune: Tune
    arranged: Callable[[int], Arrangement]


@dataclass(frozen=True, slots=True)
class Placed:
    """A chord of a chart, its step, the step that follows, and the melody's notes over it.

    They are ``None`` where the tune has no melody.
    """

    chord: Chord
    step: Step
    after: Step | None
    sung: tuple[Note, ...] | None = None


@dataclass(frozen=True, slots=True)
class Tone:
    """A note of a chord."""

    chord: Chord
    note: Note


@dataclass(frozen=True, slots=True)
class Turn:
    """A shape after another."""

    before: Voicing
    shape: Voicing


@dataclass(frozen=True, slots=True)
class Played:
    """One string of a shape, counted from 0."""

    shape: Voicing
    string: int


@dataclass(frozen=True, slots=True)
class Member:
    """One of a group: what it is called, and the thing itself, of the group's sort."""

    name: str
    thing: Any


ONE_BY_ONE = "one by one"


@dataclass(frozen=True, slots=True)
class Group:
    """Several things of one sort, what one and many of them are called, and how they were found."""

    sort: str
    one: str
    many: str
    members: tuple[Member, ...]
    found: str

    @property
    def several(self) -> str:
        """Many of them, after "some" or "most": of chords that are named one by one, of those."""
        return f"of the {self.many}" if self.found == ONE_BY_ONE else self.many


def group_of(text: str, around: Around) -> Group:
    """Return the group that some words tell.

    Raises
    ------
    HarmonyError
        If they tell none, or one that is empty.
    """
    words = " ".join(text.split())
    found = _read(words, around)
    if not found.members:
        raise LessonError(
            f"{found.many} are missing", rule="a statement needs at least one of them"
        )
    return found


def _read(words: str, around: Around) -> Group:
    if level := _LEVEL.fullmatch(words):
        return _of_level(level["what"], int(level["level"]), around)
    if words == "chords of the tune":
        return _of_tune(around.tune)
    if strings := _STRINGS.fullmatch(words):
        return _of_strings(Voicing.parse(strings["shape"], around.instrument), strings["names"])
    if fingers := _FINGERS.fullmatch(words):
        return _of_fingers(fingers["before"], fingers["after"], around.instrument)
    if words.startswith("notes of "):
        return _of_notes(words.removeprefix("notes of "))
    if words.startswith("chords "):
        chords = [Chord.parse(symbol) for symbol in words.split()[1:]]
        among = join_words([chord.unicode for chord in chords])
        members = tuple(Member(chord.unicode, chord) for chord in chords)
        return Group(CHORD, f"chord among {among}", f"chords {among}", members, ONE_BY_ONE)
    return _of_kind(words)


def _of_kind(words: str) -> Group:
    kind = sounding.read_kind(words) if words else None
    if kind is None or kind.suffix is None:
        raise LessonError(
            f"{words!r} is not a group that a statement can be about",
            rule="a kind of chord, notes of a chord, or chords, shapes or changes of a level",
            mend=", ".join(f'"{told}"' for told in TOLD),
        )
    different: dict[int, Chord] = {}
    for root in range(12):
        chord = Chord.of(usual_root(root), kind.suffix)
        different.setdefault(chord.pcs.mask, chord)
    members = tuple(Member(chord.unicode, chord) for chord in different.values())
    return Group(CHORD, kind.one, kind.many, members, "tried on all twelve roots")


def _of_notes(text: str) -> Group:
    whole = sounding.heard(text)
    if whole.chord is None:
        raise LessonError(f"{whole.name} is a scale", mend='"notes of Bdim7"')
    members = tuple(Member(note.unicode, Tone(whole.chord, note)) for note in whole.notes)
    return Group(NOTE, f"note of {whole.name}", f"notes of {whole.name}", members, "note by note")


def _of_tune(tune: Tune) -> Group:
    members = tuple(Member(chord.unicode, chord) for chord in tune.chords)
    many = f"chords of {tune.title}"
    return Group(CHORD, f"chord of {tune.title}", many, members, "read from the tune")


def _of_level(what: str, level: int, around: Around) -> Group:
    arrangement = around.arranged(level)
    where, found = f"at level {level}", "counted in the level as it is played"
    if what in ("chords", "added chords"):
        new = what == "added chords"
        members = tuple(_placed(arrangement, added_only=new))
        word = "added chord" if new else "chord"
        return Group(STEP, f"{word} {where}", f"{word}s {where}", members, found)
    if what == "shapes":
        members = tuple(Member(s.digits, s) for s in arrangement.shapes)
        return Group(SHAPE, f"shape {where}", f"shapes {where}", members, found)
    if what == "changes":
        members = tuple(
            Member(f"{a.digits} to {b.digits}", Turn(a, b))
            for a, b in counted.shape_changes(arrangement)
        )
        return Group(
            CHANGE, f"change of shape {where}", f"changes of shape {where}", members, found
        )
    members = tuple(_fingers(arrangement))
    one = f"finger in a change of shape {where}"
    many = f"fingers in the changes of shape {where}"
    return Group(FINGER, one, many, members, found)


def _placed(arrangement: Arrangement, *, added_only: bool) -> Iterator[Member]:
    tune, numbers = arrangement.tune, written.printed_numbers(arrangement)
    for step, after in counted.followed(arrangement):
        if step.chord is not None and (counted.is_added(step) or not added_only):
            bar = numbers[step.bar][0]
            sung = slots.melody_between(tune.melody, step.onset, step.onset + step.beats)
            notes = tuple({one.note.pitch_class: one.note.plain() for one in sung}.values())
            placed = Placed(step.chord, step, after, notes if tune.melody else None)
            yield Member(f"{step.chord.unicode} in bar {bar}", placed)


def _fingers(arrangement: Arrangement) -> Iterator[Member]:
    changes = zip(arrangement.steps[1:], arrangement.changes[1:], strict=True)
    for (before, _), (step, moved) in zip(pairwise(arrangement.steps), changes, strict=True):
        if moved is not None and before.voicing != step.voicing and step.voicing is not None:
            for move in moved.moves:
                yield Member(f"finger {move.finger} to {step.voicing.digits}", move)


def _of_fingers(before: str, after: str, instrument: Instrument) -> Group:
    a, b = Voicing.parse(before, instrument), Voicing.parse(after, instrument)
    members = tuple(Member(f"finger {m.finger}", m) for m in change(a, b).moves)
    where = f"from {a.digits} to {b.digits}"
    return Group(FINGER, f"finger {where}", f"fingers {where}", members, "finger by finger")


def _of_strings(shape: Voicing, names: str | None) -> Group:
    labels = shape.instrument.labels
    wanted = (
        names.split() if names else [labels[s] for s, f in enumerate(shape.frets) if f is not None]
    )
    for name in wanted:
        if name not in labels:
            raise LessonError(
                f"the {shape.instrument.name} has no string {name}",
                rule=f"its strings are {join_words(list(labels))}",
                mend=f'"strings {labels[0]} {labels[1]} of {shape.digits}"',
            )
    members = tuple(Member(f"string {n}", Played(shape, labels.index(n))) for n in wanted)
    which = (
        f"strings {join_words(wanted)} of {shape.digits}" if names else f"strings of {shape.digits}"
    )
    one = f"one of the {which}" if names else f"string of {shape.digits}"
    return Group(STRING, one, which, members, f"string by string, {number(len(members))} of them")
