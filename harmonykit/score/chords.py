"""The chords of a score at their places; its key as given, or as chords or melody are heard.

A bar's ``chords`` are plain data, as ``score.abc`` and ``score.signs`` give them: a symbol may
stand outside its bar (an offset), and several may share one position.
"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.score import kinds, signs
from harmonykit.theory.chord import Chord, Interval, Note, read_symbol
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_keys, keys_of_melody, said_keys
from harmonykit.tune.bar import Bar, TuneError
from harmonykit.values import dataclass, field

# A chord, or silence, at a position of the whole score, in quarters.
Placed = tuple[Fraction, Chord | None]
# What is doubtful, and the index of the bar that it is about.
Doubt = tuple[int | None, str]

_ANNOTATION = ("^", "_", "<", ">", "@")
_WITH_ALTERNATE = re.compile(r"([^()\s]+)\s*\((.+)\)")


@dataclass(slots=True)
class Placer:
    """Reads the chords of a score and says where each one starts; what it cannot read is a doubt.

    Parameters
    ----------
    source : list of dict
        The bars of a score.
    starts : list of Fraction
        Where each bar starts, and where the last one ends.
    shift : Interval
        From written to sounding.
    """

    source: list[signs.Json]
    starts: list[Fraction]
    shift: Interval
    doubts: list[Doubt] = field(default_factory=list)
    # What is offered instead of the chord that sounds at a position.
    alternates: dict[Fraction, list[Chord]] = field(default_factory=dict)

    def place(self) -> list[Placed]:
        """Return every chord at its position in the score, each position once."""
        marks = self._rehearsal_letters()
        found: dict[Fraction, list[tuple[Chord | None, Fraction | None]]] = {}
        for index, bar in enumerate(self.source):
            for symbol in () if marks else bar["chords"]:
                at = max(self.starts[index] + Fraction(symbol["at"]), Fraction(0))
                room = Fraction(symbol["room"]) if symbol.get("room") else None
                for chord in self._chords(symbol, index, at):
                    found.setdefault(at, []).append((chord, room))
        positions = [*sorted(found), self.starts[-1]]
        placed: list[Placed] = []
        for at, after in pairwise(positions):
            placed += self._share(at, after, found[at])
        return placed

    def _share(
        self, at: Fraction, after: Fraction, here: list[tuple[Chord | None, Fraction | None]]
    ) -> list[Placed]:
        """Return the chords of one position; several change while their note sounds."""
        chords = list(dict.fromkeys(chord for chord, _ in here))
        if any(chords):
            chords = [chord for chord in chords if chord]
        bar = bisect_right(self.starts, at) - 1
        if bar >= len(self.source):
            return []
        end = min(after, self.starts[bar + 1])
        rooms = [room for _, room in here if room]
        length = min(rooms[0], end - at) if rooms else end - at
        if len(chords) > 1:
            self.doubts.append((bar, f"{len(chords)} chords on one note share its time"))
        return [(at + length * n / len(chords), chord) for n, chord in enumerate(chords)]

    def _rehearsal_letters(self) -> bool:
        """Return whether what is quoted are the letters A, B, C in order: marks, not chords."""
        typed = [s["typed"] for bar in self.source for s in bar["chords"] if "typed" in s]
        marks = len(typed) > 1 and typed == [chr(ord("A") + n) for n in range(len(typed))]
        if marks:
            said = f"{' '.join(typed)} are read as rehearsal letters, not chords"
            self.doubts.append((None, said))
        return marks

    def _chords(self, symbol: signs.Json, bar: int, at: Fraction) -> list[Chord | None]:
        """Return the chord of a symbol in a list; nothing, and a doubt, if it is none."""
        if symbol.get("silence"):
            return [None]
        try:
            if "unread" in symbol:
                raise TuneError(symbol["unread"])
            chord = self._typed(symbol["typed"], at) if "typed" in symbol else self._of_kind(symbol)
            chord = chord and _written(chord.transpose(self.shift))
        except HarmonyError as error:
            self.doubts.append((bar, f"no chord: {error.what}"))
            return []
        if symbol.get("alternate") and chord:
            self.alternates.setdefault(at, []).append(chord)
            return []
        return [chord]

    def _typed(self, text: str, at: Fraction) -> Chord | None:
        if text.startswith(_ANNOTATION) or not text:
            raise TuneError(f"{text!r} is text, not a chord")
        try:
            reading = read_symbol(text)
        except HarmonyError:
            # "G(Em)": the second is offered instead of the first (ABC 2.1, 4.18).
            both = _WITH_ALTERNATE.fullmatch(text)
            if both is None:
                raise
            reading, other = read_symbol(both[1]), read_symbol(both[2]).chord
            if other is not None:
                self.alternates.setdefault(at, []).append(_written(other.transpose(self.shift)))
        self.doubts += [(None, f"{text}: {doubt}") for doubt in reading.doubts]
        return reading.chord

    def _of_kind(self, symbol: signs.Json) -> Chord:
        root, kind = Note.parse(symbol["root"]), symbol["kind"]
        degrees = tuple(kinds.KindDegree(*degree) for degree in symbol["degrees"])
        bass = Note.parse(symbol["bass"]) if symbol["bass"] else None
        given = root, kind, degrees, bass, symbol["inversion"], symbol["text"]
        chord = kinds.chord_of_kind(*given)
        said = (f"{chord.unicode}: {doubt}" for doubt in kinds.doubts_of_kind(kind, degrees))
        self.doubts += [(None, each) for each in said]
        return chord


def _written(chord: Chord) -> Chord:
    """Return the chord, if a symbol says it: a tune that is written must read back the same."""
    if Chord.parse(chord.symbol) != chord:
        raise TuneError(f"no chord symbol gives every note of {chord.symbol}")
    return chord


# From a signature's major tonic to a mode's own tonic, on the line of fifths: elementary theory.
_MODE_FIFTHS = {
    "major": 0, "ionian": 0, "minor": 3, "aeolian": 3, "dorian": 2, "phrygian": 4, "lydian": -1,
    "mixolydian": 1, "locrian": 5,
}  # fmt: skip
_MINOR_MODES = ("minor", "aeolian", "dorian", "phrygian", "locrian")
_MOST_SIGNATURE = 7


def key_given(
    given: dict[str, Any], placed: Sequence[Placed], shift: Interval
) -> tuple[Key, list[str]]:
    """Return the key as it sounds, and what is doubtful about it.

    Modes but major and minor are kept as one of them on their own tonic.

    Parameters
    ----------
    given : dict
        ``fifths`` and ``mode``, as far as the file has them.
    placed : sequence of (Fraction, Chord or None)
        The chords as they sound.
    shift : Interval
        From written to sounding.

    Examples
    --------
    >>> key_given({"fifths": 0, "mode": "dorian"}, [], Interval.parse("P1"))
    (Key.parse('D minor'), ['D dorian is kept as D minor'])
    """
    doubts = []
    fifths, mode = given.get("fifths", 0), given.get("mode", "")
    if abs(fifths) > _MOST_SIGNATURE:
        doubts.append(
            f"a key signature of {abs(fifths)} {'flats' if fifths < 0 else 'sharps'} is ignored"
        )
        fifths = 0
    if mode not in _MODE_FIFTHS:
        mode = _mode_of_ending(fifths, placed, -shift)
        doubts.append(f"the file gives no mode: {mode} is taken from its last chord")
    tonic = Note.from_fifths(fifths + _MODE_FIFTHS[mode])
    kept = "minor" if mode in _MINOR_MODES else "major"
    if mode not in ("major", "ionian", "minor", "aeolian"):
        doubts.append(f"{tonic.name} {mode} is kept as {tonic.name} {kept}")
    return Key(tonic, kept).transpose(shift), doubts


def key_heard(bars: Sequence[Bar]) -> tuple[Key, list[str]]:
    """Return the likeliest key of the chords, or of the melody where there are none; and say so."""
    changes = [(each.chord, each.beats) for bar in bars for each in bar.changes]
    if any(chord for chord, _ in changes):
        by, found = "chords", find_keys(changes)
    else:
        notes = [(note.note, note.beats) for bar in bars for note in bar.melody]
        by, found = "notes", keys_of_melody(notes)
    return found[0][0], [f"no key is given; its {by} fit {said_keys(found)}; the first is taken"]


def _mode_of_ending(fifths: int, placed: Sequence[Placed], unshift: Interval) -> str:
    """Return minor if the last chord is the minor one of the signature, else major."""
    last = next(chord for _, chord in reversed(placed) if chord)
    minor = last.is_minor and last.root.transpose(unshift).fifths == fifths + _MODE_FIFTHS["minor"]
    return "minor" if minor else "major"
