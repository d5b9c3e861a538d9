'''A student's typed shapes, judged bar by bar against a level of a lesson.

The answer is a TOML file::

    format = 1
    level = 1                    # counted from 1
    shapes = """
    | 0000 1212 | 0000 0101 | 2213 2323 | 0212 |
    """

Bars are in playing order, one shape for each chord of the bar; a bar that is left empty, and all
bars after the last, are not judged.  Any shape that sounds the chord is right, not only the one on
the sheet: every tone sounds, but for those that players leave out on so many strings, and nothing
else does, and a hand can hold it.
'''

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import read_toml_file
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.fretboard.hand import fit
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.tones import usual_omissions
from harmonykit.fretboard.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.model import LessonError
from harmonykit.show.style import join_words
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import name_chords
from harmonykit.tune.playing import bar_numbers

FORMAT = 1
_KEYS = {"format": int, "level": int, "shapes": str}


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of one shape: the bar's number, what was asked and answered, and why not."""

    bar: int
    asked: str
    answer: str
    fault: str = ""

    @property
    def right(self) -> bool:
        """Whether the shape is right."""
        return not self.fault


@dataclass(frozen=True, slots=True)
class Report:
    """All verdicts of an answer, in order."""

    level: str
    verdicts: tuple[Verdict, ...]

    @property
    def right(self) -> int:
        """How many shapes are right."""
        return sum(verdict.right for verdict in self.verdicts)


def check_answer(lesson: Path, answer: Path) -> Report:
    """Judge the shapes of an answer's file against a level of a lesson.

    Raises
    ------
    HarmonyError
        For a lesson or an answer that cannot be read; a wrong shape is no error but a verdict.
    """
    values, places = _read(answer)
    played = load_lesson(lesson).played
    level = values.get("level", 1)
    if not 1 <= level <= len(played):
        raise LessonError(
            f"there is no level {level}",
            place=places.key(("", 0, "level")),
            rule=f"1 to {len(played)}",
        )
    arrangement = played[level - 1].arrangement
    return Report(played[level - 1].level.name, tuple(_judge(arrangement, values["shapes"])))


def _read(path: Path) -> tuple[dict[str, Any], TomlPlaces]:
    values, places = read_toml_file(path, "the answer", LessonError)
    _check_keys(values, places)
    return values, places


def _check_keys(values: dict[str, Any], places: TomlPlaces) -> None:
    for key, wanted in _KEYS.items():
        if key in values and not isinstance(values[key], wanted):
            raise LessonError(f"{key} is {values[key]!r}", place=places.key(("", 0, key)))
    if values.get("format") != FORMAT or "shapes" not in values:
        raise LessonError(
            f"{places.name} is no answer",
            place=Place(places.name),
            rule=f"it has format = {FORMAT}, level, and shapes as bars between |",
        )
    for key in values:
        if key not in _KEYS:
            raise LessonError(
                f"{key!r} is no key of an answer",
                place=places.key(("", 0, key)),
                mend=", ".join(_KEYS),
            )


def _judge(arrangement: Arrangement, shapes: str) -> Iterator[Verdict]:
    bars = [bar.split() for bar in shapes.replace("\n", " ").strip().strip("|").split("|")]
    wanted = arrangement.bars()
    numbers = bar_numbers(arrangement.tune)
    for index, typed in enumerate(bars):
        if index >= len(wanted):
            yield Verdict(index + 1, "", " ".join(typed), f"the tune has {len(wanted)} bars")
            return
        steps = [step for step in wanted[index] if step.chord is not None]
        if typed:
            yield from _judge_bar(numbers[index][0], steps, typed, arrangement.instrument)


def _judge_bar(
    bar: int, steps: list[Step], typed: list[str], instrument: Instrument
) -> Iterator[Verdict]:
    asked = [step.chord for step in steps if step.chord is not None]
    if len(typed) != len(asked):
        names = join_words([chord.unicode for chord in asked]) or "no chord"
        fault = f"{_count(typed)} for {names}"
        yield Verdict(bar, " ".join(chord.unicode for chord in asked), " ".join(typed), fault)
        return
    for chord, text in zip(asked, typed, strict=True):
        yield Verdict(bar, chord.unicode, text, _fault(chord, text, instrument))


def _count(typed: list[str]) -> str:
    return f"{len(typed)} shape" + ("s" if len(typed) != 1 else "")


def _fault(chord: Chord, text: str, instrument: Instrument) -> str:
    """Say why a typed shape is not the chord; nothing where it is."""
    try:
        shape = Voicing.parse(text, instrument)
    except HarmonyError as error:
        return error.what
    missing = _missing(chord, shape)
    foreign = [note for note in shape.notes if note and note.pitch_class not in chord.pcs]
    if missing or foreign:
        return _notes_fault(chord, shape, missing)
    if fit(shape.frets, instrument) is None:
        return f"{shape.digits} sounds {chord.unicode}, but no hand can hold it"
    return ""


def _missing(chord: Chord, shape: Voicing) -> list[int]:
    sounding = len(shape.sounding)
    dropped = {(chord.root.pitch_class + n) % 12 for n in usual_omissions(chord, sounding)}
    return [pc for pc in chord.pcs if pc not in shape.pcs and pc not in dropped]


def _notes_fault(chord: Chord, shape: Voicing, missing: list[int]) -> str:
    labels = shape.instrument.labels
    wrong = [
        f"{note.unicode} on the {label} string"
        for label, note in zip(labels, shape.notes, strict=True)
        if note and note.pitch_class not in chord.pcs
    ]
    parts = []
    if wrong:
        verb = "does" if len(wrong) == 1 else "do"
        parts.append(f"{join_words(wrong)} {verb} not belong to {chord.unicode}")
    if missing:
        names = [chord.spell(pc).plain().unicode for pc in missing]
        parts.append(f"{join_words(names)} {'is' if len(names) == 1 else 'are'} missing")
    named = name_chords(shape.pcs)
    also = f"; this is {named[0].symbol}" if named and not named[0].missing else ""
    return f"{', and '.join(parts)}{also}"
