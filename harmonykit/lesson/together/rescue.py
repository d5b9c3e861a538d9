"""The changes that will break down, and the rescue: the easiest grip that may sound in their place.

Conventions.  How hard a change is follows from the fingers that leave their place, from how far the
hand goes, from a barre that is laid, and from the time that there is: that of the chord before
(common practice, no source).  A rescue has notes of the chord alone, its third and its seventh
among them where it has them, in a diminished seventh its root too, and so sounds right beside the
whole chord (common practice of jazz, no source).
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import product

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers
from harmonykit.fretboard.hands.change import STAYS, Change
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.frettings import Fretting, write_digits
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.guides import guide_degrees
from harmonykit.tune.bar import Meter, beat_length, beats_a_minute
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words

HIGHEST_FRET = 4
_SOUNDING, _LEAST_STRINGS, _MOST_FINGERS, _FEW_STRINGS, _ONE_OF_MANY = 3, 2, 3, 4, 0.25
# What a barre over two strings, over more, and a string that is kept silent are worth in fingers;
# and how much easier a rescue is, at least.
_A_SHORT_BARRE, _A_LONG_BARRE, _A_SILENT_STRING, _EASIER = 1.5, 2.5, 1.08, 0.4
# So far the hand goes as easily as one finger more is placed.
_A_FINGER_MM = 20.0
_A_BARRE = 2.0
_DOTTED = Fraction(3, 2)
# Of the tempo at which a level is played, so much for each time that a hard change is practised.
_SHARES = (0.6, 0.8, 1.0)


def practice_tempi(tempo: float) -> tuple[int, ...]:
    """Return the tempi at which a loop is practised, the slowest first, even and each once.

    The last is the level's own, even or not.

    Examples
    --------
    >>> practice_tempi(84), practice_tempi(43), practice_tempi(6)
    ((50, 68, 84), (26, 34, 43), (4, 6))
    """
    slower = [2 * round(tempo * share / 2) for share in _SHARES if share < 1]
    return tuple(dict.fromkeys([*slower, round(tempo)]))


def said_tempi(tempo: float, meter: Meter) -> str:
    """Return the tempi at which a loop is practised, in beats a minute.

    Parameters
    ----------
    tempo : float
        Of the level, in quarters a minute.
    meter : tuple of int

    Examples
    --------
    >>> said_tempi(84, (3, 4)), said_tempi(90, (6, 8))
    ('50, then 68, then 84 beats a minute', 'dotted quarter = 36, then 48, then 60')
    """
    found = practice_tempi(tempo / float(beat_length(meter)))
    return _said(", then ".join(map(str, found)), meter)


def slowest(tempo: float, meter: Meter) -> str:
    """Return the tempo at which practice begins, in beats a minute.

    Examples
    --------
    >>> slowest(90, (6, 8))
    'dotted quarter = 36'
    """
    return _said(str(practice_tempi(tempo / float(beat_length(meter)))[0]), meter)


def said_tempo(tempo: float, meter: Meter) -> str:
    """Return a tempo in beats a minute, a beat of three eighths called what it is.

    Examples
    --------
    >>> said_tempo(84, (3, 4)), said_tempo(90, (6, 8))
    ('84 beats a minute', 'dotted quarter = 60')
    >>> said_tempo(59, (6, 8)), said_tempo(72.5, (4, 4))
    ('dotted quarter = 39', '72.5 beats a minute')
    """
    return _said(f"{beats_a_minute(tempo, meter):g}", meter)


def _said(figures: str, meter: Meter) -> str:
    dotted = beat_length(meter) == _DOTTED
    return f"dotted quarter = {figures}" if dotted else f"{figures} beats a minute"


@dataclass(frozen=True, slots=True)
class Hard:
    """A change that will break down.

    Parameters
    ----------
    before, after : Step
    change : Change
    bar : int
        The bar of the new chord, by its number as players count.
    bars : tuple of int
        All bars in which this change comes, by their printed numbers.
    seconds : float
        How long the chord before lasts: the time that there is.
    effort : float
        Fingers to be placed a second, and what counts as such.
    """

    before: Step
    after: Step
    change: Change
    bar: int
    bars: tuple[int, ...]
    seconds: float
    effort: float

    @property
    def over_a_bar_line(self) -> bool:
        """Whether the new shape begins another bar."""
        return self.before.bar != self.after.bar

    @property
    def names(self) -> tuple[str, str]:
        """The two chords."""
        return tuple(one.chord.unicode if one.chord else "" for one in (self.before, self.after))  # type: ignore[return-value]

    @property
    def rescue(self) -> tuple[Chord, Voicing] | None:
        """The new chord, or else the old one, with its easier grip; None where neither has any."""
        found = ((step.chord, _rescue_of(step)) for step in (self.after, self.before))
        return next(((chord, grip) for chord, grip in found if chord and grip), None)


def hard_changes(way: Arrangement, tempo: float, count: int | None = 2) -> tuple[Hard, ...]:
    """Return the hardest changes of an arrangement, each pair of shapes once, the hardest first.

    Parameters
    ----------
    way : Arrangement
    tempo : float
        Quarters a minute.
    count : int or None
        How many at most; None for all.
    """
    found: dict[frozenset[Voicing], Hard] = {}
    bars: dict[object, list[int]] = {}
    for one in _changes(way, tempo):
        if one.before.voicing and one.after.voicing:
            pair = frozenset((one.before.voicing, one.after.voicing))
            bars.setdefault(_kind(one), []).append(one.bar)
            if pair not in found or found[pair].effort < one.effort:
                found[pair] = one
    hardest = sorted(found.values(), key=lambda one: (-one.effort, one.after.onset))[:count]
    return tuple(replace(one, bars=tuple(dict.fromkeys(bars[_kind(one)]))) for one in hardest)


SHOWN = 2
"""So many changes are shown at a level."""


def practised_changes(way: Arrangement, tempo: float) -> tuple[Hard, ...]:
    """Return the changes that ask for anything, the hardest first; ``SHOWN`` are shown as pairs.

    Parameters
    ----------
    way : Arrangement
    tempo : float
        Quarters a minute.
    """
    return tuple(one for one in hard_changes(way, tempo, None) if one.effort > 0)


def bars_first(practised: Iterable[Hard]) -> Hard | None:
    """Return the change round which two bars are practised first: the hardest over a bar line."""
    return next((one for one in practised if one.over_a_bar_line), None)


def _kind(one: Hard) -> object:
    return one.before.chord, one.before.voicing, one.after.chord, one.after.voicing


def _changes(way: Arrangement, tempo: float) -> Iterator[Hard]:
    numbers = printed_numbers(way)
    started = Fraction(0)
    for index, (step, change) in enumerate(zip(way.steps, way.changes, strict=True)):
        before = way.steps[index - 1] if index else None
        if before is None or before.voicing != step.voicing:
            held, started = (before.onset + before.beats - started if before else 0), step.onset
            plain = step.chord and not step.alone and before and before.chord and not before.alone
            if plain and change is not None and change.strings and before is not None:
                seconds = float(held) * 60 / tempo
                bar = numbers[step.bar][0]
                yield Hard(before, step, change, bar, (bar,), seconds, _effort(change, seconds))


def _effort(change: Change, seconds: float) -> float:
    fingers = sum(move.what != STAYS and move.end is not None for move in change.moves)
    barre = len(set(change.after.barres) - set(change.before.barres))
    return float((fingers + change.mm / _A_FINGER_MM + _A_BARRE * barre) / max(seconds, 0.1))


def _rescue_of(step: Step) -> Voicing | None:
    if step.chord is None or step.voicing is None or step.alone:
        return None
    return rescue(step.chord, step.voicing)


def rescue(chord: Chord, shape: Voicing) -> Voicing | None:
    """Return the easiest grip that still sounds as a chord does, if it is easier than a shape.

    Parameters
    ----------
    chord : Chord
    shape : Voicing
        How the chord is played by who needs no rescue.

    Examples
    --------
    >>> found = rescue(Chord.parse("D7"), Voicing.parse("2223"))
    >>> found.digits, [note.name for note in found.notes]
    ('2-0-2-0', ['A', 'C', 'F#', 'A'])
    >>> rescue(Chord.parse("C"), Voicing.parse("0003")) is None
    True
    """
    found = _easiest(chord, shape.instrument)
    if found is None or _work(found) + _EASIER > _work(shape):
        return None
    held = shape.fingering
    # Who lays no finger flat is not helped by more fingers, however many strings were silent, nor
    # by fewer that reach over more frets.
    flat = held is None or bool(held.barres)
    more = len(found.fretted) > len(shape.fretted) or _apart(found) > _apart(shape)
    return None if more and not flat else found


def left_out(chord: Chord, shape: Voicing) -> str:
    """Return the notes of a chord that its easier grip leaves to the others; empty for none.

    Examples
    --------
    >>> left_out(Chord.parse("G9"), Voicing.parse("0212"))
    'no A'
    >>> left_out(Chord.parse("C"), Voicing.parse("0003"))
    ''
    >>> left_out(Chord.parse("D7#5"), Voicing.parse("3023"))
    'no root'
    """
    root = chord.root.pitch_class
    lost = [
        "root" if note.pitch_class == root else note.unicode
        for note in chord.notes
        if note.pitch_class not in shape.pcs
    ]
    return f"no {join_words(lost)}" if lost else ""


def _apart(shape: Voicing) -> int:
    return shape.highest_fret - shape.lowest_fret if shape.fretted else 0


@lru_cache(maxsize=512)
def _easiest(chord: Chord, instrument: Instrument) -> Voicing | None:
    root = chord.root.pitch_class

    def key(frets: Fretting) -> tuple[float, bool, int, str]:
        """Without a barre each string that is pressed takes a finger."""
        pcs = {(p + f) % 12 for p, f in zip(instrument.midi, frets, strict=True) if f is not None}
        pressed = [fret for fret in frets if fret]
        work = len(pressed) + frets.count(None) * _silent(instrument) + max(pressed, default=0) / 50
        work += (max(pressed) - min(pressed)) / 30 if pressed else 0.0
        return work, root not in pcs, -len(pcs), write_digits(frets)

    hand = Limits(barre="none")
    for frets in sorted(_frettings(chord, instrument), key=key):
        if fit(frets, instrument, hand):
            return Voicing(instrument, frets)
    return None


def _work(shape: Voicing) -> float:
    """Return what a shape asks: fingers, barres, strings kept silent, reach and height."""
    fingering = shape.fingering
    if fingering is None:
        return 9.0
    fingers = len({finger for finger in fingering.fingers if finger})
    barres = sum(
        _A_SHORT_BARRE if barre.width == 2 else _A_LONG_BARRE for barre in fingering.barres
    )
    silent = shape.frets.count(None) * _silent(shape.instrument)
    return fingers + barres + silent + shape.highest_fret / 50 + shape.stretch_mm / 1000


def _silent(instrument: Instrument) -> float:
    """Return what a string that is kept silent is worth in fingers: less where others are many."""
    return _A_SILENT_STRING if len(instrument.midi) <= _FEW_STRINGS else _ONE_OF_MANY


def _frettings(chord: Chord, instrument: Instrument) -> Iterator[Fretting]:
    """Yield every way to fret notes of a chord, those that tell it among them, low on the neck.

    At least three strings sound, of three two, with as many notes of the chord, and nothing muted
    between: who is to be helped strums, and has no finger left to keep more than one string of four
    silent (common practice, no source).
    """
    third, seventh = guide_degrees(chord)
    root = chord.root.pitch_class
    needed = {(root + d.pitch_class) % 12 for d in (third, seventh) if d is not None}
    # Without its root, the leading tone, a diminished seventh is part of another dominant.
    needed |= set() if seventh is not None and not chord.is_diminished_seventh else {root}
    tones = set(chord.pcs)
    strings = len(instrument.midi)
    least = max(_LEAST_STRINGS, min(_SOUNDING, strings - 1))
    choices: list[list[int | None]] = [
        [*(fret for fret in range(HIGHEST_FRET + 1) if (pitch + fret) % 12 in tones), None]
        for pitch in instrument.midi
    ]
    for frets in product(*choices):
        sounding = [string for string, fret in enumerate(frets) if fret is not None]
        if len(sounding) < least or sounding[-1] - sounding[0] + 1 != len(sounding):
            continue
        pcs = {(instrument.midi[s] + (frets[s] or 0)) % 12 for s in sounding}
        if (
            needed <= pcs
            and len(pcs) >= min(least, len(tones))
            and sum(bool(fret) for fret in frets) <= _MOST_FINGERS
        ):
            yield frets
