"""The whole mix: where things are heard, and what comes before the start of a round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.events import play_strings
from harmonykit.sound.mixing import mixed, sounding
from harmonykit.sound.noise import Samples
from harmonykit.sound.performance import Event, Performance

RATE = 44_100


def of(*events: Event, name: str = "ukulele", seconds: float = 2.0) -> Performance:
    strings = play_strings(Instrument.named(name), times=1)
    return replace(strings, events=events, seconds=seconds)


def heard(performance: Performance) -> Samples:
    return np.concatenate(list(mixed(performance, RATE))).astype(float)


def level(sound: Samples) -> Samples:
    return 10 * np.log10((sound**2).mean(axis=0))


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_strings_are_heard_from_left_to_right_and_the_click_in_the_middle(name: str) -> None:
    midi = Instrument.named(name).midi
    sides = []
    for string in (0, len(midi) - 1):
        left, right = level(heard(of(Event(0, 1, midi[string], string, "tone", 90), name=name)))
        sides.append(right - left)
    # What comes straight differs by 5.4 dB; the room answers from both sides.
    assert sides[0] < -2 and 2 < sides[1]
    left, right = level(heard(of(Event(0, 1, 76, None, "click", 90))))
    assert abs(right - left) < 0.5


def test_a_strum_is_wide_and_still_one_thing_where_there_is_one_loudspeaker() -> None:
    strum = [Event(0.01 * s, 1, m, s, "tone", 90) for s, m in enumerate((67, 60, 64, 69))]
    sound = heard(of(*strum))
    middle, side = sound.mean(axis=1), (sound[:, 0] - sound[:, 1]) / 2
    wide = float(10 * np.log10((side**2).sum() / (middle**2).sum()))
    assert -20 < wide < -8
    assert float(10 * np.log10((middle**2).sum() * 2 / (sound**2).sum())) > -1


def test_every_kind_of_event_has_a_sound_of_its_own() -> None:
    events = [
        Event(0, 1, 60, 1, "tone", 90),
        Event(0, 1, 60, None, "tone", 90),
        Event(0, 1, 48, None, "bass", 90),
        Event(0, 1, 76, None, "click", 90),
        Event(0, 1, 82, None, "drum", 90),
    ]
    found = {sounding(event, None, RATE)[0][:2000].tobytes() for event in events}
    # The melody is a string of the instrument, louder, and elsewhere.
    assert len(found) == 5
    assert sounding(events[1], None, RATE)[1] > sounding(events[0], None, RATE)[1]


def test_the_box_and_the_material_are_the_instruments_own() -> None:
    event = Event(0, 1, 62, 1, "tone", 90)
    spectra = []
    for name in ("ukulele", "mandolin", "baritone ukulele"):
        sound = sounding(event, Instrument.named(name), RATE)[0][:RATE]
        power = np.abs(np.fft.rfft(sound, RATE)) ** 2
        spectra.append(float((power * np.arange(len(power))).sum() / power.sum()))
    assert spectra[1] > 1.2 * spectra[0]
    assert spectra[2] != pytest.approx(spectra[0], rel=0.05)


def test_a_soft_stroke_is_duller_and_not_only_softer() -> None:
    def bright(velocity: int) -> float:
        sound = heard(of(Event(0, 1, 60, 1, "tone", velocity)))[:, 0]
        power = np.abs(np.fft.rfft(sound, 2 * RATE)) ** 2
        return float(power[4000:].sum() / power.sum())

    assert bright(40) < bright(80) < bright(110)


def test_the_end_fades_out_and_is_not_cut_off() -> None:
    sound = heard(of(Event(0, 5, 60, 1, "tone", 90)))
    last = np.abs(sound[-int(0.02 * RATE) :]).max()
    assert last < np.abs(sound[-int(0.3 * RATE) : -int(0.25 * RATE)]).max() / 30
    assert not np.abs(sound[-1]).max() > 1e-6
