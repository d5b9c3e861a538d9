"""Clashes of the melody with what sounds under it, and which of them an arrangement adds.

Two rules are looked at (common practice unless a source is named):

- *minor ninth*: of two sounding pitches, a melody note and a note of the shape, the upper lies a
  semitone above the lower in some octave.  The flat ninth over the root of a dominant is allowed;
  over one that is added, where it goes down a fifth.
- *avoid note*: the melody holds a note of the chord's scale that schools avoid over it: one a
  semitone above a tone of the chord, and dorian's sixth (Wikipedia, "Avoid note").  The scale is
  known where the key's own scale holds the whole chord.

A melody note counts when it starts on a beat of the bar or lasts half a beat or more.  A clash is
*added* where the chord as written would not rub with that note.  Of an added chord that clashes
where the tune's own does, too, it is told so.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.slots import is_heard, melody_between
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.tune.tune import PlayedBar, Sung
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

MINOR_NINTH, AVOID_NOTE = "minor ninth", "avoid note"


@dataclass(frozen=True, slots=True)
class Clash:
    """A melody note that rubs with what sounds under it.

    Parameters
    ----------
    rule : {"minor ninth", "avoid note"}
    onset, beats : Fraction
        Where the two begin to sound together, in quarters from the start, and how long they do.
    bar : int
        In playing order from 0.
    melody, tone : Note
        The melody's note, and the chord's tone that it rubs with.
    chord : Chord
    written : Chord or None
        What the tune has there.
    added : bool
        Whether that chord does not rub with the note.
    """

    rule: str
    onset: Fraction
    beats: Fraction
    bar: int
    melody: Note
    tone: Note
    chord: Chord
    written: Chord | None = None
    added: bool = False

    def __str__(self) -> str:
        return (
            f"{self.rule}: the melody's {self.melody.unicode} with {self.tone.unicode} of "
            f"{self.chord.unicode}, for {counted(self.beats, 'quarter note')}, starting "
            f"{counted(self.onset, 'quarter note')} into the tune"
        )


def rubs(melody: int, tone: int, chord: Chord, *, resolves: bool = True) -> bool:
    """Whether two sounding pitches are a minor ninth that the chord does not allow.

    The flat ninth of a dominant is allowed where it ``resolves``: down a fifth.

    Examples
    --------
    >>> c = Chord.parse("C")
    >>> rubs(77, 64, c), rubs(71, 60, c), rubs(59, 72, c)  # F over E; B over C; C over B
    (True, False, True)
    >>> rubs(68, 55, Chord.parse("G7")), rubs(68, 55, Chord.parse("Gm7"))  # A flat over G
    (False, True)
    >>> rubs(68, 55, Chord.parse("G7"), resolves=False)
    True
    """
    low, high = sorted((melody, tone))
    flat_ninth = resolves and chord.is_dominant and low % 12 == chord.root.pitch_class
    return (high - low) % 12 == 1 and not flat_ninth


def avoided(pitch_class: int, chord: Chord, key: Key) -> Note | None:
    """Return the tone with which a note of the key rubs by the schools' table, if it does.

    Examples
    --------
    >>> key = Key.parse("C")
    >>> str(avoided(5, Chord.parse("Cmaj7"), key)), str(avoided(11, Chord.parse("Dm7"), key))
    ('E', 'F')
    >>> avoided(5, Chord.parse("Caug"), key) is None  # the key does not hold the chord
    True
    """
    scale = {note.pitch_class for note in key.scale}
    known = pitch_class in scale and set(chord.pcs) <= scale
    if not known or pitch_class in chord.pcs or len(chord.pcs) < 3:
        return None
    below = (pitch_class - 1) % 12
    if below in chord.pcs:
        return chord.spell(below)
    third = (chord.root.pitch_class + 3) % 12
    dorian = chord.is_minor and (pitch_class - chord.root.pitch_class) % 12 == 9
    return chord.spell(third) if dorian and third in chord.pcs else None


def may_add(melody: int, written: Chord | None, key: Key) -> bool:
    """Whether a melody note can clash anew: the chord as written does not rub with it already."""
    if written is None:
        return True
    below = (melody - 1) % 12
    flat_ninth = written.is_dominant and below == written.root.pitch_class
    rubbed = below in written.pcs and not flat_ninth
    return not rubbed and avoided(melody % 12, written, key) is None


def clashes(arrangement: Arrangement) -> tuple[Clash, ...]:
    """Return every clash of an arrangement, in playing order."""
    return tuple(_all(arrangement))


def added_clashes(arrangement: Arrangement) -> tuple[Clash, ...]:
    """Return the clashes that the tune as written does not have."""
    return tuple(clash for clash in _all(arrangement) if clash.added)


def _all(arrangement: Arrangement) -> Iterator[Clash]:
    tune = arrangement.tune
    melody = tune.melody
    playing = tune.playing if melody else ()
    steps = arrangement.steps if melody else ()
    for step, after in zip(steps, _afters(steps), strict=True):
        if step.chord is None or step.voicing is None:
            continue
        for sung in melody_between(melody, step.onset, step.onset + step.beats):
            played = _bar_at(playing, sung.onset)
            if not is_heard(sung, played.onset, played.bar.meter):
                continue
            clash = _new_clash(step, sung, tune.key, after) or _clash(step, sung, tune.key)
            if clash is not None:
                yield clash


def _afters(steps: Sequence[Step]) -> list[Chord | None]:
    """Return for each step the next other chord."""
    found: list[Chord | None] = []
    after: Chord | None = None
    for step, then in zip(reversed(steps), [None, *reversed(steps)], strict=False):
        if then is not None and then.chord != step.chord:
            after = then.chord
        found.append(after)
    return found[::-1]


def _new_clash(step: Step, sung: Sung, key: Key, after: Chord | None) -> Clash | None:
    """Return the clash that the chord as written would not make, if there is one."""
    if step.chord == step.written or not may_add(sung.note.midi, step.written, key):
        return None
    return _clash(step, sung, key, added=True, resolves=goes_home(step.chord, after))


def _bar_at(playing: tuple[PlayedBar, ...], onset: Fraction) -> PlayedBar:
    after = bisect_right(playing, onset, key=lambda played: played.onset)
    return playing[max(after - 1, 0)]


def goes_home(chord: Chord | None, *after: Chord | None) -> bool:
    """Whether a chord goes down a fifth to one of those that may come after it."""
    return chord is not None and any(each and falls_a_fifth(chord, each) for each in after)


def _clash(
    step: Step, sung: Sung, key: Key, *, added: bool = False, resolves: bool = True
) -> Clash | None:
    """Return what a melody note rubs with; what is ``added`` does not rub in the written chord."""
    if step.chord is None or step.voicing is None:
        return None
    start = max(step.onset, sung.onset)
    beats = min(step.onset + step.beats, sung.onset + sung.beats) - start
    pitch, chord, written = sung.note.midi, step.chord, step.written if added else None
    rubbing = (t for t in step.voicing.sounding if rubs(pitch, t, chord, resolves=resolves))
    known = set() if written is None else {*written.pcs}
    new = (t for t in rubbing if t % 12 not in known or not (written and rubs(pitch, t, written)))
    tone = next(new, None)
    if tone is not None:
        name = chord.spell(tone % 12).at_pitch(tone)
        at = start, beats, step.bar
        return Clash(MINOR_NINTH, *at, sung.note, name, chord, step.written, added)
    avoid = avoided(pitch % 12, chord, key)
    if avoid is None:
        return None
    at = start, beats, step.bar
    return Clash(AVOID_NOTE, *at, sung.note, avoid, chord, step.written, added)


def count_added(
    chord: Chord,
    written: Chord | None,
    pitches: NDArray[np.int64],
    melody: list[int],
    key: Key,
    *,
    resolves: bool = True,
) -> NDArray[np.int64]:
    """Return how many of some melody notes each of many shapes adds a clash with.

    Parameters
    ----------
    chord, written : Chord
        What is played, and what the tune has.
    pitches : array (shapes, strings) of int
        MIDI numbers; far below 0 where a string is muted.
    melody : list of int
        MIDI numbers of the notes that count.
    key : Key
    resolves : bool
        Whether the chord goes down a fifth.
    """
    found = np.zeros(len(pitches), dtype=np.int64)
    if chord == written:
        return found
    known = np.isin(pitches % 12, [] if written is None else list(written.pcs))
    for note in melody:
        if not may_add(note, written, key):
            continue
        if avoided(note % 12, chord, key) is not None:
            found += 1
        else:
            rub = _rub(pitches, note, chord, resolves=resolves) & (pitches >= 0)
            if written is not None:
                rub &= ~(known & _rub(pitches, note, written, resolves=True))
            found += rub.any(axis=1)
    return found


def _rub(
    pitches: NDArray[np.int64], note: int, chord: Chord, *, resolves: bool
) -> NDArray[np.bool_]:
    """Return ``rubs`` of a melody note and each pitch of many shapes."""
    low, high = np.minimum(pitches, note), np.maximum(pitches, note)
    rub: NDArray[np.bool_] = (high - low) % 12 == 1
    if chord.is_dominant and resolves:
        rub &= low % 12 != chord.root.pitch_class
    return rub
