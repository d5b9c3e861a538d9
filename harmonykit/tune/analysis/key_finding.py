"""The keys that a row of chords may stand in, each with its probability.

``evidence.keys`` judges by what was counted in tunes whose key is known: richer chords by a
collection of jazz tunes, triads by popular songs (``evidence.kinds`` says which is which).  A tonic
of a mode is named by its third: a vamp on a Dorian Dm7 is D minor, one on a Mixolydian G is G
major.  A blues stands in the key of its first bar, major or minor; ii–V played once, and with
nothing else, in the key that it goes to.  Where no chord sounds, the notes of the melody tell the
key (``evidence.melodies``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import starmap
from typing import Protocol

from harmonykit.errors import HarmonyError, Place, wrong_kind
from harmonykit.evidence import keys, kinds
from harmonykit.paths import shipped
from harmonykit.theory.chord import Chord, Note, read_symbol
from harmonykit.theory.given import as_chord, read_words
from harmonykit.theory.key import MODES, Key, falls_a_fifth
from harmonykit.tune.bar import TuneError, bar_length
from harmonykit.tune.form import Form, Section
from harmonykit.tune.playing import Change, PlayedBar, play_bars, play_changes
from harmonykit.tune.text.changes import read_changes
from harmonykit.tune.text.pasted.plain import Naming, is_near_a_chord


class HasChanges(Protocol):
    """A tune, or what is played like one."""

    @property
    def changes(self) -> tuple[Change, ...]:
        """The changes in playing order."""

    @property
    def playing(self) -> tuple[PlayedBar, ...]:
        """The bars in playing order."""


# A chord and how long it lasts, in quarters.
Lasting = tuple[Chord | None, Fraction]
Changes = HasChanges | str | Sequence[Chord | str | None] | Sequence[Lasting]
LIKELIEST = 3
# A key that is given is doubted below this probability.
IMPROBABLE = 0.05
_METER = (4, 4)
_BAR = bar_length(_METER)
_MOST_SHARPS = 6
# How much likelier the goal of ii–Vs is than they say themselves (set by hand).
_GOAL_ODDS = 20
# How much likelier a minor key that a plain tune comes home to is than its chords say (by hand).
_HOME_ODDS = 200


def find_keys(changes: Changes) -> list[tuple[Key, float]]:
    """Return the 24 keys with their probabilities, the likeliest first.

    Parameters
    ----------
    changes : Tune, text, or sequence of chords
        Text has bars between ``|``, or one chord a bar; so have chords in a sequence, unless each
        is a pair with its length in quarters.  ``None`` is silence.  A tune without chords
        is judged by its melody.

    Returns
    -------
    list of (Key, float)
        The probabilities sum to 1.  They are as good as their source: see "Evidence" in
        DEVELOPERS.md.

    Raises
    ------
    TuneError
        If no chord is among them, and no melody.
    HarmonyError
        If a text cannot be read.

    Examples
    --------
    >>> [(str(key), round(p, 1)) for key, p in hk.find_keys("C6 A7 Dm7 G7")[:1]]
    [('C major', 0.8)]
    >>> [str(key) for key, _ in hk.find_keys("C Am F G")[:2]]
    ['C major', 'A minor']
    """
    placed, bars = place_chords(changes)
    chords = tuple((chord, bar, strong) for chord, bar, strong in placed if chord is not None)
    if not chords:
        sung = [(each.note, each.beats) for each in getattr(changes, "melody", ())]
        if not sung:
            raise TuneError("chords are missing, so the key is unknown", mend="C6 A7 Dm7 G7")
        return keys_of_melody(sung)
    return list(_found(chords, bars))


Placed = tuple[Chord | None, int, bool]


@lru_cache(maxsize=64)
def _found(chords: tuple[tuple[Chord, int, bool], ...], bars: int) -> tuple[tuple[Key, float], ...]:
    style = kinds.style_of([chord.semitones for chord, _, _ in chords])
    row = [hear(chord, style, bar, strong=strong) for chord, bar, strong in chords]
    likely = keys.key_probabilities(row, bars, style)
    if (goal := _goal([chord for chord, _, _ in chords])) is not None:
        likely = _lean(likely, goal, _GOAL_ODDS)
    elif style == kinds.PLAIN and (home := _home([chord for chord, _, _ in chords])):
        likely = _lean(likely, home, _HOME_ODDS)
    return tuple(_named(likely, [chord.root.fifths for chord, _, _ in chords]))


def keys_of_melody(notes: Sequence[tuple[Note, Fraction]]) -> list[tuple[Key, float]]:
    """Return the 24 keys of a melody with their probabilities, the likeliest first.

    Parameters
    ----------
    notes : sequence of (Note, Fraction)
        In order, each with its length; one at least.

    Examples
    --------
    >>> notes = [(Note.parse(name), Fraction(1)) for name in "G B D C A F# G".split()]
    >>> str(keys_of_melody(notes)[0][0])
    'G major'
    """
    likely = keys.melody_probabilities([(note.pitch_class, float(beats)) for note, beats in notes])
    return _named(likely, [note.fifths for note, _ in notes])


def _named(likely: dict[tuple[int, str], float], fifths: Sequence[int]) -> list[tuple[Key, float]]:
    """Return keys by their probability, spelled near what was written, on the line of fifths."""
    told = [(key, likely[key.tonic.pitch_class, key.mode]) for key in _keys(fifths)]
    return sorted(told, key=lambda each: -each[1])


Tonic = tuple[int, str]


def _goal(chords: Sequence[Chord]) -> Tonic | None:
    """Return the tonic that a row of nothing but ii–Vs goes to, each played once; else none.

    The tunes that keys were learnt from come home; such a row does not, and its first chord is no
    tonic.  A pair that goes to the ii of another one is passed over.  By rule; common practice,
    no source.
    """
    pairs = list(zip(chords[::2], chords[1::2], strict=False))
    if len(chords) % 2 or not all(starmap(_is_two_five, pairs)):
        return None
    twos = [two.root.pitch_class for two, _ in pairs]
    if len(set(twos)) < len(twos):
        return None
    goals = [((root - 2) % 12, two) for root, (two, _) in zip(twos, pairs, strict=True)]
    last = [goal for goal in goals if goal[0] not in twos] or goals
    tonic, two = last[-1]
    return tonic, "minor" if 6 in two.semitones else "major"


def _is_two_five(two: Chord, five: Chord) -> bool:
    """Return whether a minor chord stands before the dominant seventh, or its sus4, a fourth up."""
    low, high = set(two.semitones), set(five.semitones)
    minor = 3 in low and not low & {4, 9, 11}
    return (
        falls_a_fifth(two, five) and minor and 10 in high and bool({4, 5} & high) and 3 not in high
    )


def _home(chords: Sequence[Chord]) -> Tonic | None:
    """Return the minor key that a tune comes home to from its dominant; None where it does not.

    It ends on a minor chord, and begins on it too or ends by its dominant; the weights of plain
    tunes were learnt from songs without a key, most of them in major.  Of the jazz tunes that
    begin and end so, with the dominant anywhere, 23 of 25 are in that key.
    """
    first, last = chords[0], chords[-1]
    tonic = last.root.pitch_class
    fives = [
        place
        for place, each in enumerate(chords[:-1])
        if 4 in each.semitones and 11 not in each.semitones and falls_a_fifth(each, last)
    ]
    begins = first.is_minor and first.root.pitch_class == tonic
    ends = bool(fives) and fives[-1] == len(chords) - 2
    return (tonic, "minor") if last.is_minor and fives and (begins or ends) else None


def _lean(likely: dict[Tonic, float], goal: Tonic, odds: int) -> dict[Tonic, float]:
    """Return probabilities with the odds of one key raised."""
    parts = likely | {goal: likely[goal] * odds}
    total = sum(parts.values())
    return {key: part / total for key, part in parts.items()}


def hear(chord: Chord, style: str, bar: int = 0, *, strong: bool = True) -> keys.Heard:
    """Return a chord as it is counted in a style.

    Examples
    --------
    >>> hear(Chord.parse("G13"), "jazz")
    Heard(bar=0, strong=True, root=7, kind='7')
    """
    return keys.Heard(bar, strong, chord.root.pitch_class, kinds.kind_of(chord.semitones, style))


def need_chords(changes: str) -> None:
    """Refuse the name of a tune where chords are read.

    Raises
    ------
    TuneError
        If the text is the name of a tune that ships.
    """
    if (name := changes.strip()) in shipped("tunes"):
        raise TuneError(
            f"{name!r} is the name of a tune, not its chords",
            rule="a tune is read first",
            mend=f'read_tune("{name}")',
        )


def place_chords(changes: Changes) -> tuple[list[Placed], int]:
    """Return each chord, its bar as played from 0, whether it opens it, and the count of bars."""
    if isinstance(changes, str):
        try:
            return _of_text(changes)
        except HarmonyError as error:
            need_chords(changes)
            if not any(map(_is_word, changes.replace("|", " ").split())):
                raise
            rule, mend = (
                "only chords are read here, not words",
                "Tune.parse(text), which also reads words",
            )
            raise type(error)(error.what, place=error.place, rule=rule, mend=mend) from None
    if not isinstance(changes, Sequence) and isinstance(getattr(changes, "playing", None), tuple):
        return list(_of_bars(changes.changes, changes.playing)), len(changes.playing)
    if isinstance(changes, bytes) or not isinstance(changes, Sequence):
        raise wrong_kind(changes, "a tune, or chords as text or in a list", '"C6 A7 Dm7 G7"')
    found: list[Placed] = []
    now = Fraction(0)
    for each in changes:
        chord, beats = each if isinstance(each, tuple) else (each, _BAR)
        if isinstance(chord, str):
            chord = read_symbol(chord).chord
        elif chord is not None:
            chord = as_chord(chord)
        found.append((chord, int(now // _BAR), now % _BAR == 0))
        now += beats
    return found, -int(-now // _BAR)


def _of_text(changes: str) -> tuple[list[Placed], int]:
    if "|" not in changes:
        return place_chords(read_words(changes, lambda word: read_symbol(word).chord, "the chords"))

    def place(index: int) -> Place:
        before = changes[:index].split("\n")
        line = changes.split("\n")[len(before) - 1]
        return Place("the changes", len(before), len(before[-1]) + 1, line)

    bars, _ = read_changes(changes, _METER, place)
    section = Section("A", bars)
    playing = play_bars(bars, Form.of((section,), ("A",)))
    return list(_of_bars(play_changes(playing), playing)), len(playing)


def _is_word(text: str) -> bool:
    bare = text.strip(".,:;!?()")
    return len(bare) > 2 and bare.isalpha() and not (Naming().reads(bare) or is_near_a_chord(bare))


def _of_bars(changes: Sequence[Change], playing: Sequence[PlayedBar]) -> Iterator[Placed]:
    bar = 0
    for change in changes:
        while bar + 1 < len(playing) and playing[bar + 1].onset <= change.onset:
            bar += 1
        yield change.chord, bar, change.onset == playing[bar].onset


def likely_keys(found: Sequence[tuple[Key, float]]) -> tuple[Key, ...]:
    """Return the likeliest keys, three at most, without improbable ones but the first."""
    return tuple(key for n, (key, p) in enumerate(found[:LIKELIEST]) if not n or p >= IMPROBABLE)


def said_keys(found: Sequence[tuple[Key, float]]) -> str:
    """Return the likeliest keys in words; an improbable one is left out.

    Examples
    --------
    >>> said_keys(find_keys("C Am F G"))
    'C major (93 %), A minor (5 %)'
    """
    told = found[: len(likely_keys(found))]
    return ", ".join(f"{key.unicode} ({100 * likely:.0f} %)" for key, likely in told)


def _keys(fifths: Sequence[int]) -> list[Key]:
    """Return the 24 keys, each spelled so as to be near the names that were written."""
    middle = round(sum(fifths) / len(fifths))
    low = max(-_MOST_SHARPS - 1, min(middle - 6, _MOST_SHARPS - 10))
    tonics = [Note.from_fifths(low + step) for step in range(12)]
    return [Key(tonic, mode).readable() for mode in MODES for tonic in tonics]


@lru_cache(maxsize=256)
def key_pcs(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key; a minor key has its leading tone too.

    Examples
    --------
    >>> sorted(key_pcs(Key.parse("A minor")))
    [0, 2, 4, 5, 7, 8, 9, 11]
    """
    pcs = {note.pitch_class for note in key.scale}
    return frozenset(pcs | {(key.tonic.pitch_class - 1) % 12})


def is_tonic(chord: Chord, key: Key) -> bool:
    """Return whether a chord is the key's own tonic: a triad, with sixth or major seventh.

    A minor seventh on a minor tonic is one too.
    """
    if chord.root.pitch_class != key.tonic.pitch_class:
        return False
    above = set(chord.semitones)
    third = 4 if key.mode == "major" else 3
    return third in above and 6 not in above and not (third == 4 and 10 in above)
