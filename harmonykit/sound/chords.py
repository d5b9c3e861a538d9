"""Chords as a short sound, one after another, made when asked for and never stored.

Each is strummed from its first pitch to its last.  Pitches are MIDI numbers, times are seconds.
"""

import base64
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from harmonykit.sound import performance, rendering
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.values import dataclass, field

RATE = 22_050
EACH, RING, APART = 0.9, 0.6, 0.04
# A panel answers soon and does not drone on.
MOST_CHORDS = 16
_VELOCITY = 90

Pitches = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Clip:
    """A WAV file of one channel, and how long it is; in a notebook, a player of it."""

    wav: bytes = field(repr=False)
    seconds: float

    def _repr_html_(self) -> str:
        """Show a player where IPython shows a value by itself."""
        source = f"data:audio/wav;base64,{base64.b64encode(self.wav).decode()}"
        return f'<audio controls aria-label="{self.seconds:.1f} seconds" src="{source}"></audio>'


def seconds_of(chords: Sequence[Pitches]) -> float:
    """Return how long chords last, with the ring of the last.

    Examples
    --------
    >>> seconds_of([(60, 64, 67)]), seconds_of([])
    (1.5, 0.0)
    """
    return round(min(len(chords), MOST_CHORDS) * EACH + RING, 3) if chords else 0.0


@lru_cache(maxsize=32)
def sound_of(chords: tuple[Pitches, ...]) -> Clip:
    """Return chords as a sound; of more than sixteen only the first sixteen.

    Examples
    --------
    >>> sound_of(((60, 64, 67),)).seconds
    1.5
    """
    chords = chords[:MOST_CHORDS]
    seconds = seconds_of(chords)
    events = tuple(event for at, chord in enumerate(chords) for event in _strum(chord, at * EACH))
    played = performance.Performance(events, seconds, 60.0, (4, 4), 0.0, (), (), (), Key.parse("C"))
    return Clip(rendering.wav_bytes(rendering.Sound(played, RATE, channels=1)), seconds)


def _strum(chord: Pitches, start: float) -> Iterator[performance.Event]:
    for place, midi in enumerate(chord):
        late = place * APART
        yield performance.Event(start + late, EACH + RING - late, midi, None, "tone", _VELOCITY)


def close_pitches(pitch_classes: Sequence[int], lowest: int = 60) -> Pitches:
    """Return pitch classes as pitches, each the next one above the one before.

    Examples
    --------
    >>> close_pitches((9, 0, 3, 6))
    (69, 72, 75, 78)
    """
    pitches: list[int] = []
    for pc in pitch_classes:
        above = pitches[-1] + 1 if pitches else lowest
        pitches.append(above + (pc - above) % 12)
    return tuple(pitches)


def close_notes(notes: Iterable[Note], lowest: int = 60, turn: int = 0) -> Pitches:
    """Return notes as pitches close together, the one at ``turn`` the lowest.

    Examples
    --------
    >>> close_notes(hk.Chord.parse("C").tones), close_notes(hk.Chord.parse("C").tones, turn=1)
    ((60, 64, 67), (64, 67, 72))
    """
    pcs = [note.pitch_class for note in notes]
    return close_pitches(pcs[turn:] + pcs[:turn], lowest)
