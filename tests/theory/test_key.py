"""Keys: signatures and scales against music21, and how a key writes a note."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import intervals, names

from harmonykit.errors import HarmonyError
from harmonykit.theory.key import Key
from harmonykit.theory.note import Interval, Note

keys = st.builds(Key, names, st.sampled_from(["major", "minor"]))


def test_signatures_and_scales_are_those_of_music21() -> None:
    from music21.key import Key as Theirs

    for sharps in range(-7, 8):
        for mode in ("major", "minor"):
            place = sharps + (3 if mode == "minor" else 0)
            ours = Key(Note.from_fifths(place), mode)
            theirs = Theirs(ours.tonic.name.replace("b", "-"), mode)
            assert ours.signature == theirs.sharps == sharps
            written = [pitch.name.replace("-", "b") for pitch in theirs.pitches[:7]]
            assert [note.name for note in ours.scale] == written


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("C", "C major"),
        ("Am", "A minor"),
        ("C minor", "C minor"),
        ("Bb major", "Bb major"),
        ("B♭m", "Bb minor"),
        ("f# minor", "F# minor"),
        ("EbMaj", "Eb major"),
        ("Ebmin", "Eb minor"),
        ("GM", "G major"),
        ("d-", "D minor"),
    ],
)
def test_keys_are_read(text: str, said: str) -> None:
    assert str(Key.parse(text)) == said


@pytest.mark.parametrize("text", ["", "H", "C dorian", "Cmm", "major", "C#####b##### minor"])
def test_what_is_no_key_is_said(text: str) -> None:
    with pytest.raises(HarmonyError):
        Key.parse(text)


@pytest.mark.parametrize(
    ("typed", "mend"),
    [("G mixolydian", "G major"), ("f# Dorian", "F# minor"), ("Bb lydian", "Bb major")],
)
def test_a_mode_is_told_the_key_with_the_same_third(typed: str, mend: str) -> None:
    with pytest.raises(HarmonyError, match="is a mode") as caught:
        Key.parse(typed)
    assert caught.value.mend == f'"{mend}"'


def test_a_mode_is_major_or_minor() -> None:
    with pytest.raises(HarmonyError, match="'Dorian' is not a mode of a key"):
        Key(Note.parse("D"), "Dorian")


@pytest.mark.parametrize(
    ("key", "written"),
    [
        # Common practice, no source: flat second to raised fourth round the tonic.
        ("C", "C Db D Eb E F F# G Ab A Bb B"),
        ("Am", "C C# D D# E F F# G G# A Bb B"),
        ("Eb", "C Db D Eb Fb F Gb G Ab A Bb Cb"),
    ],
)
def test_a_key_writes_the_twelve(key: str, written: str) -> None:
    spelled = [Key.parse(key).spell(pc).name for pc in range(12)]
    assert [Note.parse(name).pitch_class for name in spelled] == list(range(12))
    assert sorted(spelled) == sorted(written.split())


class TestSpelling:
    """A key's names sound what is asked, and its own notes keep their own names."""

    @given(keys, st.integers(0, 11))
    def test_the_name_sounds_the_pitch_class(self, key: Key, pitch_class: int) -> None:
        assert key.spell(pitch_class).pitch_class == pitch_class

    @given(keys)
    def test_scale_notes_keep_their_names(self, key: Key) -> None:
        assert tuple(key.spell(note.pitch_class) for note in key.scale) == key.scale

    @given(keys, intervals)
    def test_transposing_never_passes_six_accidentals(self, key: Key, interval: Interval) -> None:
        moved = key.transpose(interval)
        assert abs(moved.signature) <= 6
        wanted = (key.tonic.pitch_class + interval.semitones) % 12
        assert (moved.tonic.pitch_class, moved.mode) == (wanted, key.mode)

    @given(keys)
    def test_text_reads_back(self, key: Key) -> None:
        assert Key.parse(str(key)) == Key.parse(key.unicode) == key
        assert eval(repr(key)) == key
