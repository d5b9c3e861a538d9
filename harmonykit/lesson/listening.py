"""A recording of a student, compared with what a level asks: which chord is heard at each change.

What sounds alike cannot be told apart: chords of the same notes (C6 and Am7), and shapes of one
chord at the same pitches.  A verdict says how sure it is: of those called sure, 97 in 100 at least
are right, and 80 of those called likely (``tests/lesson/test_listening.py`` counts, on strings
that are made, not on recordings of people).  What is not chords on strings gets no verdict.
"""

from dataclasses import replace
from itertools import groupby
from pathlib import Path

import numpy as np

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson import build, following, verdicts
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.verdicts import Heard, Hearing
from harmonykit.sound import hearing, strung
from harmonykit.sound.hearing import Ear
from harmonykit.sound.recording import STEP, Numbers, Recording, read_recording
from harmonykit.theory.naming import name_chords
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.words.numbers import counted, join_words

_NAMED = 3
# After a change the strings are struck one after another, and the window still holds the old chord.
_ENTERS, _LEAVES = 0.12, 0.04
_STRUCK, _LEAST = 0.25, 3
_OCTAVE = 0.9
# A chord that no list has is less like its nearest than chords that are known are like theirs.
_UNKNOWN = 0.03
_FEW, _MANY = 0.4, 0.7


def hear_playing(asked: Arrangement | str | Path, recording: str | Path, level: int = 1) -> Hearing:
    """Compare a recording with a level of a lesson, or with an arrangement.

    Parameters
    ----------
    asked : Arrangement, str or Path
        A lesson file, the bare name of one that ships, or an arrangement.
    recording : str or Path
        A sound file: WAV, MP3, OGG, FLAC, AIFF or CAF, up to ten minutes.
    level : int
        Of a lesson, counted from 1.

    Returns
    -------
    Hearing

    Raises
    ------
    HarmonyError
        If the recording cannot be read, is silent or too short, or the lesson has no such level.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> played = hk.lesson.read_lesson("stiff_dominant").played[0]
    >>> file = hk.sound.write_wav(Path(mkdtemp()) / "mine.wav", played.performance)
    >>> hearing = hk.lesson.hear_playing("stiff_dominant", file, level=1)
    >>> hearing.right, len(hearing.heard), hearing.heard[3].told
    (13, 13, 'D7 heard (sure)')
    """
    if isinstance(asked, Arrangement):
        way, name = asked, asked.name or asked.tune.title
    else:
        played = build.load_lesson(asked).played
        if not 1 <= level <= len(played):
            raise LessonError(f"unknown level {level}", rule=f"1 to {len(played)}")
        way, name = played[level - 1].arrangement, played[level - 1].level.name
    sound = read_recording(recording, strung.frequency(min(way.instrument.midi)))
    sort = hearing.strung(Ear.for_shapes(way.shapes, way.instrument), sound)
    if sort.trouble:
        said = _not_strung(way, sort.trouble)
        return Hearing(name, (), 0, sound.cents, fits=False, remarks=(said,))
    listener = _Listener(way, sound)
    heard, remarks = listener.heard, [*sound.remarks]
    fits = listener.share >= _FEW
    if not fits:
        lacks = _not_strung(way, "none of its chords") if sort.strange else _UNFIT
        remarks.append(_elsewhere(way, sound) or lacks)
    if sort.doubtful:
        heard = tuple(each.doubted for each in heard)
        remarks.append(_COVERED)
    tempo = round(float(way.tempo) * listener.followed.pace)
    return Hearing(name, heard, tempo, sound.cents, fits, tuple(remarks))


_UNFIT = (
    "The recording does not fit: few of its chords are those of this level. Is it the right "
    "level, played from the first bar on, on one instrument alone?"
)
_COVERED = (
    "Something else sounds beside the strings, a voice or noise: nothing below is sure. "
    "Record the instrument alone."
)


def _not_strung(way: Arrangement, lacks: str) -> str:
    """Say that what sounds is not chords on strings, and what it is."""
    return (
        f"This does not sound like chords on the {way.instrument.name}: it has {lacks}. "
        "Nothing is judged. Record the instrument alone, within an arm's length."
    )


def _elsewhere(way: Arrangement, sound: Recording) -> str:
    """Say by how many semitones a recording that does not fit is moved, if it is."""
    listened = Ear.for_shapes(way.shapes, way.instrument)
    for shift in listened.shifts(sound):
        moved = replace(sound, strengths=np.roll(sound.strengths, -shift, axis=1))
        if _Listener(way, moved).share >= _MANY:
            side = "higher" if shift > 0 else "lower"
            return (
                f"All chords sound {counted(abs(shift), 'semitone')} {side} than on the "
                f"{way.instrument.name}: another instrument, another tuning, or a capo. "
                "Choose the lesson for that instrument."
            )
    return ""


class _Listener:
    """What is heard in a recording at each change of an arrangement."""

    def __init__(self, way: Arrangement, sound: Recording) -> None:
        self.way, self.sound = way, sound
        self.ear, self.silent = hearing.tuned_in(Ear.for_shapes(way.shapes, way.instrument), sound)
        self.pulses = following.pulses_of(way)
        self.followed = self._follow()
        self.heard = tuple(self._changes())

    @property
    def share(self) -> float:
        """The share of changes at which the chord of the level is heard."""
        return sum(each.right for each in self.heard) / max(len(self.heard), 1)

    def _follow(self) -> following.Followed:
        own = list(self.ear.sounds[: self.ear.own])
        chances = self.ear.chances(self.ear.likeness(self.sound.strengths))
        # The same notes in any octave will do.
        notes = self.ear.notes
        alike = [[each == mine for each in notes] for mine in notes[: len(own)]]
        fits = np.column_stack([chances[:, each].sum(axis=1) for each in alike])
        fits = hearing.ringing(fits, np.where(self.silent, 0.0, self.sound.strengths.sum(axis=1)))
        shapes = [self.way.steps[pulse.step].voicing for pulse in self.pulses]
        columns = [-1 if shape is None else own.index(hearing.sound_of(shape)) for shape in shapes]
        return following.follow(self.pulses, float(self.way.tempo), fits, columns, self.sound.rises)

    def _changes(self) -> list[Heard]:
        asked = [(index, step) for index, step in enumerate(self.way.steps) if step.voicing]
        numbers, spans = printed_numbers(self.way), self._spans()
        rows = [self._sounding(*spans[index]) for index, _ in asked]
        struck = np.array([self._struck(*spans[index]) for index, _ in asked])
        usual = float(np.median(struck[struck > 0])) if (struck > 0).any() else 1.0
        typical = self._typical(rows)
        found: list[Heard] = []
        for (index, step), row, blow in zip(asked, rows, struck, strict=True):
            assert step.voicing is not None
            name = step.chord.unicode if step.chord is not None else step.voicing.digits
            start, end = spans[index]
            seconds = start * STEP
            one = Heard(
                numbers[step.bar][0], name, step.voicing.digits, verdicts.LEFT_OUT, seconds=seconds
            )
            if end > start:
                one = replace(one, verdict=verdicts.NOTHING)
                if row is not None:
                    judged = self._judged(one, step.voicing, row, typical)
                    held = bool(found) and found[-1].names[:1] == judged.names[:1]
                    # What only rings on from the change before was not played.
                    one = judged if blow >= _STRUCK * usual or judged.right or not held else one
            found.append(one)
        return found

    def _spans(self) -> dict[int, tuple[int, int]]:
        """Return the first moment of each step and the one after its last."""
        pairs = zip(self.pulses, self.followed.spans, strict=True)
        found = {}
        for step, group in groupby(pairs, lambda pair: pair[0].step):
            parts = [span for _, span in group]
            found[step] = (parts[0][0], parts[-1][1])
        return found

    def _sounding(self, start: int, end: int) -> Numbers | None:
        """Return the mean of what sounds between two moments, if anything does."""
        first = start + round(_ENTERS / STEP)
        last = max(end - round(_LEAVES / STEP), first + 1)
        inside = self.sound.strengths[first:last]
        heard = ~self.silent[first:last]
        return inside[heard].mean(axis=0) if heard.sum() >= min(_LEAST, len(heard)) > 0 else None

    def _struck(self, start: int, end: int) -> float:
        here = self.sound.rises[max(start - 2, 0) : max(end - 2, start + 1)]
        return float(np.max(here, initial=0.0))

    def _typical(self, rows: list[Numbers | None]) -> float:
        """Return how like its nearest sound a change is in this recording, as a rule."""
        heard = np.array([row for row in rows if row is not None])
        return float(np.median(self.ear.likeness(heard).max(axis=1))) if len(heard) else 1.0

    def _judged(self, one: Heard, shape: Voicing, row: Numbers, typical: float) -> Heard:
        """Return the verdict on what sounds where a shape is asked for."""
        ranked, exact, likeness = self.ear.ranked(row, hearing.sound_of(shape))
        first, chance = ranked[0]
        names = tuple(self._named(notes, one.asked, shape.pcs) for notes, _ in ranked[:_NAMED])
        if first == shape.pcs and chance >= verdicts.LIKELY:
            octave = exact >= _OCTAVE * chance
            return replace(
                one, verdict=verdicts.AS_WRITTEN, names=names[:1], chance=chance, octave=octave
            )
        known = likeness >= typical - _UNKNOWN
        if first != shape.pcs and chance >= verdicts.LIKELY and known:
            return replace(one, verdict=verdicts.OTHER, names=names[:1], chance=chance)
        without = 1 - dict(ranked).get(shape.pcs, 0.0)
        if first != shape.pcs and without >= verdicts.LIKELY and not known:
            return replace(one, verdict=verdicts.UNLIKE, names=names[:1], chance=without)
        sums = np.cumsum([chance for _, chance in ranked[:_NAMED]])
        enough = int(np.searchsorted(sums, verdicts.SURE)) + 1
        return replace(one, verdict=verdicts.UNCLEAR, names=names[:enough], chance=float(sums[-1]))

    def _named(self, notes: PcSet, asked: str, pcs: PcSet) -> str:
        """Return the chord of some notes: as the level, the usual shapes or their notes name it."""
        if notes == pcs:
            return asked
        for step in self.way.steps:
            if step.chord is not None and step.voicing is not None and step.voicing.pcs == notes:
                return step.chord.unicode
        for sound, chord in hearing.usual_sounds(self.way.instrument).items():
            if hearing.notes_of(sound) == notes:
                return chord.unicode
        named = name_chords(notes)
        if named and not named[0].missing:
            return str(named[0])
        return f"the notes {join_words([Note.from_midi(60 + pc).plain().unicode for pc in notes])}"
