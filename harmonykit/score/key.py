"""The key of a score: as its file gives it, or as its chords or its melody are heard."""

from collections.abc import Sequence
from typing import Any

from harmonykit.score.chords import Placed
from harmonykit.theory.interval import Interval
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.analysis.key_finding import find_keys, keys_of_melody, said_keys
from harmonykit.tune.bar import Bar

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
        doubts.append(f"a key of {fifths} fifths is not followed")
        fifths = 0
    if mode not in _MODE_FIFTHS:
        mode = _mode_of_ending(fifths, placed, -shift)
        doubts.append(f"the file gives no mode: {mode} by its last chord")
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
    return found[0][0], [f"no key is given: by its {by} {said_keys(found)}; the first is taken"]


def _mode_of_ending(fifths: int, placed: Sequence[Placed], unshift: Interval) -> str:
    """Return minor if the last chord is the minor one of the signature, else major."""
    last = next(chord for _, chord in reversed(placed) if chord)
    minor = last.is_minor and last.root.transpose(unshift).fifths == fifths + _MODE_FIFTHS["minor"]
    return "minor" if minor else "major"
