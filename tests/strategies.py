"""What Hypothesis draws: notes, intervals and chords, as the property tests share them."""

from __future__ import annotations

from hypothesis import strategies as st

from harmonykit.theory.chord import QUALITIES, Chord
from harmonykit.theory.note import LETTERS, Interval, Note

NAMES = tuple(Note(letter, accidental) for letter in LETTERS for accidental in range(-2, 3))
"""The 35 note names with at most two accidentals."""

names = st.sampled_from(NAMES)
pitches = st.builds(Note, st.sampled_from(LETTERS), st.integers(-2, 2), st.integers(-1, 9))
intervals = st.builds(
    lambda note, octave, down: _interval(note, octave, down),
    st.sampled_from([name for name in NAMES if abs(name.accidental) < 2]),
    st.integers(0, 2),
    st.booleans(),
)
chords = st.builds(
    lambda root, quality, bass: Chord.build(root, quality.degrees, bass),
    names,
    st.sampled_from(QUALITIES),
    st.none() | names,
)


def _interval(note: Note, octave: int, down: bool) -> Interval:
    up = Note("C", 0, 0).interval_to(note.at(octave))
    return -up if down else up
