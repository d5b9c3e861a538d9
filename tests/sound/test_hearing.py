"""Which shape is heard: sums of partials, cosines by scipy, and slips counted by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.distance import cdist

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.hearing import Ear, ringing, slips, sound_of, tuned_in, usual_sounds
from harmonykit.sound.recording import HIGHEST, LOWEST, STEP, Recording

UKULELE = Instrument.named("ukulele")
SHAPES = tuple(Voicing.parse(text, UKULELE) for text in ("0003", "2010", "0212", "2000"))


def partials(sound: tuple[int, ...], fall: float) -> np.ndarray:
    """Return a sound's partials in the amplitudes of pitches, without any that is compressed."""
    found = np.zeros(HIGHEST - LOWEST + 1)
    for pitch in sound:
        for number in range(1, 9):
            place = round(pitch + 12 * np.log2(number)) - LOWEST
            if place < len(found):
                found[place] += fall ** (number - 1)
    return found


@pytest.mark.parametrize("fall", [0.5, 0.7, 0.9])
@pytest.mark.parametrize("name", ["ukulele", "baritone ukulele", "mandolin", "guitar"])
def test_each_usual_shape_is_nearest_to_itself(name: str, fall: float) -> None:
    instrument = Instrument.named(name)
    sounds = usual_sounds(instrument)
    ear = Ear.for_shapes([Voicing(instrument, (0,) * len(instrument.midi))], instrument)
    played = np.array([np.sqrt(partials(sound, fall)) for sound in sounds])
    chances = ear.chances(ear.fitted(played).likeness(played))
    right = [ear.notes[int(row.argmax())] for row in chances]
    wanted = [ear.notes[ear.sounds.index(sound)] for sound in sounds]
    share = np.mean([one == other for one, other in zip(right, wanted, strict=True)])
    assert share > 0.97


def test_likeness_is_the_cosine() -> None:
    ear = Ear.for_shapes(SHAPES, UKULELE)
    heard = np.abs(np.random.default_rng(2).normal(size=(7, ear.templates.shape[1])))
    assert np.allclose(ear.likeness(heard), 1 - cdist(heard, ear.templates, "cosine"))


def test_chances_add_up_and_lean_to_what_is_asked() -> None:
    ear = Ear.for_shapes(SHAPES, UKULELE)
    likeness = np.full((1, len(ear.sounds)), 0.9)
    asked = sound_of(SHAPES[1])
    chances = ear.chances(likeness, asked)
    assert chances.sum() == pytest.approx(1)
    assert ear.sounds[int(chances.argmax())] == asked
    # Three in five play what is asked; half of the others something else of the level.
    assert chances.max() == pytest.approx(0.6 + 0.2 / 4 + 0.2 / len(ear.sounds), abs=1e-6)


def test_slips_are_one_string_off() -> None:
    """0-0-0-3 on g C E A (67 60 64 69), by hand: each string muffled, open, a fret off."""
    assert set(slips(SHAPES[0])) == {
        (60, 64, 72), (64, 67, 72), (60, 67, 72), (60, 64, 67),
        (60, 64, 68, 72), (61, 64, 67, 72), (60, 65, 67, 72),
        (60, 64, 67, 69), (60, 64, 67, 71), (60, 64, 67, 73),
    }  # fmt: skip


def test_how_high_and_low_are_weakened_is_taken_from_the_recording() -> None:
    ear = Ear.for_shapes(SHAPES, UKULELE)
    weak = np.linspace(0.05, 1.5, ear.templates.shape[1])
    heard = ear.templates[[0, 1, 2, 3] * 5] * weak
    before, after = ear.likeness(heard), ear.fitted(heard).likeness(heard)
    best = np.arange(len(heard)), [0, 1, 2, 3] * 5
    assert after[best].min() > before[best].max()


def test_silence_and_noise_are_not_listened_to() -> None:
    ear = Ear.for_shapes(SHAPES, UKULELE)
    chord = np.tile(ear.templates[0], (20, 1))
    noise = np.abs(np.random.default_rng(3).normal(0.05, 0.02, (20, chord.shape[1])))
    sound = np.concatenate((chord, 0.01 * chord, noise))
    _, silent = tuned_in(ear, Recording(sound, np.zeros(60), 0.0, 1.0, 60 * STEP, 0.0))
    assert silent.tolist() == [False] * 20 + [True] * 40


def test_what_was_struck_is_heard_for_a_while() -> None:
    fits = np.array([[1.0, 0.0]] * 4 + [[0.0, 1.0]] * 60)
    rings = ringing(fits, np.array([1.0] * 4 + [0.0] * 60))
    assert rings[10].tolist() == pytest.approx([1, 0], abs=1e-6)
    silent = np.isnan(rings[:, 0])
    assert int(silent.argmax()) == pytest.approx(4 + 1.2 / STEP, abs=1)
    # What is loud is heard as it is.
    assert ringing(fits, np.ones(64))[40].tolist() == pytest.approx([0, 1], abs=0.01)
