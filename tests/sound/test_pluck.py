"""One string, measured: pitch, stiffness, decay, place, box, hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from heard import cents, measured_pitch

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.pluck import (
    RATE,
    Samples,
    admittance,
    click,
    inharmonicity,
    modes,
    pluck,
    radiated,
)
from harmonykit.sound.strung import Voice, voices

# Equal temperament at A4 = 440 Hz (ISO 16:1975); values by arithmetic.
FREQUENCIES = {40: 82.406889, 55: 195.997718, 60: 261.625565, 67: 391.995436, 69: 440.0, 81: 880.0}
UKULELE, GUITAR = (voices(Instrument.named(name))["tone"] for name in ("ukulele", "guitar"))
STEEL = voices(Instrument.named("guitar DADGAD"))["tone"]
BASS = voices()["bass"]


def on_a_rock(voice: Voice) -> Voice:
    """Return strings on a box that does not move: what the string alone does."""
    return replace(
        voice, plate=0.0, modes=tuple((hz, q, 1e9, gain) for hz, q, _, gain in voice.modes)
    )


def spectrum(sound: Samples, size: int = 1 << 20) -> Samples:
    return np.abs(np.fft.rfft(sound * np.blackman(len(sound)), size))


def decibels(sound: Samples, hz: float, second: float) -> float:
    """Return the level of one partial around a moment, by a windowed transform."""
    window = np.blackman(8192)
    start = int(second * RATE)
    turn = np.exp(-2j * np.pi * hz * np.arange(8192) / RATE)
    return float(20 * np.log10(abs((sound[start : start + 8192] * window * turn).sum())))


@pytest.mark.parametrize(("midi", "hertz"), FREQUENCIES.items())
def test_a_string_is_within_one_cent_of_its_pitch(midi: int, hertz: float) -> None:
    voice = GUITAR if midi < 60 else UKULELE
    found = measured_pitch(pluck(voice, None, midi)[4410:70_000], hertz)
    assert abs(cents(found, hertz)) < 1


@pytest.mark.parametrize("midi", range(28, 52, 5))
def test_a_bass_is_within_one_cent_of_its_pitch(midi: int) -> None:
    hertz = 440 * 2 ** ((midi - 69) / 12)
    assert abs(cents(measured_pitch(pluck(BASS, None, midi)[:120_000], hertz), hertz)) < 1


def test_a_re_entrant_string_sounds_at_its_own_pitch() -> None:
    # g C E A (Kaai 1906): the first string is a fifth above the second.
    first = spectrum(pluck(UKULELE, 0, 67)[:RATE], RATE)
    assert first[180:210].max() < first[385:400].max() / 1000


@pytest.mark.parametrize(("string", "hertz"), [(4, 220.0), (5, 293.664768)])
def test_partials_of_steel_wire_lie_where_its_stiffness_puts_them(
    string: int, hertz: float
) -> None:
    """Fletcher 1964: f_n = n f0 sqrt(1 + B n^2), B = pi^3 Q d^4 / (64 l^2 T).

    Steel has 200 GPa and 7850 kg/m3 (tables of materials, from memory); 105 N on 647.7 mm.
    """
    length, tension = 0.6477, 105.0
    thick = math.sqrt(4 * tension / (math.pi * 7850)) / (2 * length * hertz)
    stiff = math.pi**3 * 2.0e11 * thick**4 / (64 * length**2 * tension)
    sound = pluck(STEEL, string, round(69 + 12 * math.log2(hertz / 440)))[:RATE]
    for number in range(2, 14):
        # B is told for what is read as f0: the first partial is the pitch.
        wanted = hertz * number * math.sqrt((1 + stiff * number**2) / (1 + stiff))
        assert measured_pitch_near(sound, wanted) == pytest.approx(wanted, rel=2e-4), number
    # The 13th is audibly higher than a whole multiple.
    assert 1200 * math.log2(math.sqrt((1 + stiff * 169) / (1 + stiff))) > 2


def measured_pitch_near(sound: Samples, hertz: float) -> float:
    size = 1 << 20
    found = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size))
    low, high = (int(hertz * f * size / RATE) for f in (0.99, 1.01))
    return float((low + int(found[low:high].argmax())) * RATE / size)


@pytest.mark.parametrize(("string", "published"), [(3, 310e-6), (4, 160e-6), (5, 130e-6)])
def test_nylon_is_as_stiff_as_was_measured(string: int, published: float) -> None:
    """Woodhouse 2004, table 1: N m2 of G, B and E of a set of nylon strings (from memory).

    Ours all have one tension, so they are within half of it.
    """
    strand = GUITAR.strands[string]
    assert 0.65 < strand.stiffness / published < 1.7
    # A string stopped at the octave is half as long: four times as stiff beside its tension.
    ratio = inharmonicity(strand, 2 * strand.hz) / inharmonicity(strand, strand.hz)
    assert ratio == pytest.approx(4)


@pytest.mark.parametrize("string", [3, 4, 5])
def test_each_partial_falls_as_its_material_lets_it(string: int) -> None:
    """Woodhouse 2004: 1/Q = [T (eF + eA/w) + S eB (n pi/L)^2] / [T + S (n pi/L)^2].

    A partial of a sharpness Q falls by 60 dB in 13.8 Q / w seconds.
    """
    strand, midi = GUITAR.strands[string], (40, 45, 50, 55, 59, 64)[string]
    sound = pluck(on_a_rock(GUITAR), string, midi).astype(float)
    in_string, in_air, in_bending = strand.losses
    for number in (1, 2, 3, 6):
        bent = strand.stiffness * (number * math.pi / strand.length) ** 2
        first = inharmonicity(strand, strand.hz)
        turn = 2 * math.pi * strand.hz * number
        turn *= math.sqrt((1 + first * number**2) / (1 + first))
        lost = strand.tension * (in_string + in_air / turn) + bent * in_bending
        sharp = (strand.tension + bent) / lost
        rate = 60 / (13.8155 * sharp / turn)
        hz = turn / (2 * math.pi)
        fallen = decibels(sound, hz, 0.1) - decibels(sound, hz, 0.8)
        assert fallen / 0.7 == pytest.approx(rate, rel=0.02), number


def test_high_partials_fall_faster_and_steel_rings_longer_than_nylon() -> None:
    def fallen(voice: Voice, number: int) -> float:
        hz = 293.664768 * number
        sound = pluck(on_a_rock(voice), len(voice.strands) - 1, 62).astype(float)
        return decibels(sound, hz, 0.05) - decibels(sound, hz, 0.4)

    for voice in (GUITAR, STEEL):
        assert fallen(voice, 8) > fallen(voice, 2)
    assert fallen(STEEL, 6) < fallen(GUITAR, 6) / 1.5


@pytest.mark.parametrize(("part", "silent"), [(4, (4, 8, 12)), (3, (3, 6, 9)), (2, (2, 4, 6))])
def test_a_pluck_leaves_out_the_partials_that_stand_still_there(
    part: int, silent: tuple[int, ...]
) -> None:
    """At a quarter of the string every fourth partial has a node (Fletcher & Rossing 1998)."""
    place = STEEL.strands[0].length / part
    sound = pluck(replace(STEEL, place=place, noise=0.0), 0, 38)[: 2 * RATE].astype(float)
    stiff = inharmonicity(STEEL.strands[0], STEEL.strands[0].hz)

    def loud(number: int) -> float:
        hz = 73.416192 * number * math.sqrt((1 + stiff * number**2) / (1 + stiff))
        return decibels(sound, hz, 0.1)

    for number in silent:
        assert loud(number) < min(loud(number - 1), loud(number + 1)) - 30, number


def test_a_fretted_string_is_plucked_nearer_to_its_middle() -> None:
    # The hand stays where it is: at the twelfth fret the string is half as long.
    place = GUITAR.strands[5].length / 4
    sound = pluck(replace(GUITAR, place=place), 5, 76).astype(float)
    stiff = inharmonicity(GUITAR.strands[5], 659.2551)
    second = 659.2551 * 2 * math.sqrt((1 + stiff * 4) / (1 + stiff))
    assert decibels(sound, second, 0.05) < decibels(sound, 659.2551, 0.05) - 30


def test_a_box_is_heard_at_its_published_modes() -> None:
    """A guitar's air and top: 102 and 193 Hz (Fletcher & Rossing 1998, from memory)."""
    hz = np.arange(60.0, 400.0)
    heard = np.abs(radiated(GUITAR, 2j * np.pi * hz))
    tops = hz[1:-1][(heard[1:-1] > heard[:-2]) & (heard[1:-1] > heard[2:])]
    for mode in (102.0, 193.0):
        assert np.min(np.abs(tops / mode - 1)) < 0.03
    # A small box is higher: that of a concert ukulele has its air near 195 Hz (from memory).
    assert UKULELE.modes[0][0] == pytest.approx(195, rel=0.01)
    # A larger one is lower: a baritone below a concert, which is below a soprano.
    sizes = ("baritone ukulele", "ukulele", "soprano ukulele")
    air = [voices(Instrument.named(name))["tone"].modes[0][0] for name in sizes]
    assert air == sorted(air)


def test_where_the_box_moves_a_string_falls_faster() -> None:
    """A wolf: the pitch at the top's own mode gives its motion away (Woodhouse 2004)."""

    def lost(midi: int) -> float:
        return float(-modes(GUITAR, GUITAR.strands[3], midi, 1.0).poles[0].real)

    # The top moves most at 193 Hz: G3 has 196.
    assert lost(55) > 2 * lost(60)


def test_a_string_falls_fast_first_and_slowly_then() -> None:
    """Two stages, down and across the top (Weinreich 1977)."""
    sound, hz = pluck(GUITAR, 3, 55).astype(float), 195.997718
    levels = [decibels(sound, hz, second) for second in (0.1, 0.4, 1.5, 1.8)]
    assert levels[0] - levels[1] > 2 * (levels[2] - levels[3]) > 0


@pytest.mark.parametrize("midi", range(60, 97, 6))
def test_a_string_dies_away(midi: int) -> None:
    sound = pluck(UKULELE, None, midi)
    parts = [np.sqrt(np.mean(part.astype(float) ** 2)) for part in np.array_split(sound, 8)]
    assert parts == sorted(parts, reverse=True)
    assert parts[-1] < 0.02 * parts[0] and not sound[-1]


@pytest.mark.parametrize("midi", [28, 40, 60, 81])
def test_a_string_is_struck_at_once(midi: int) -> None:
    voice = BASS if midi < 40 else GUITAR
    sound = np.abs(pluck(voice, None, midi))
    # Half of its size within a period, or within 5 ms.
    soon = max(int(RATE / (440 * 2 ** ((midi - 69) / 12))), 220)
    assert sound[:soon].max() > 0.4 * sound.max() and sound[0] < 0.1 * sound.max()


def test_all_strings_are_about_equally_loud() -> None:
    sizes = [
        np.sqrt(np.mean(pluck(voice, None, midi)[:11_025].astype(float) ** 2))
        for voice, midi in ((UKULELE, 60), (UKULELE, 76), (GUITAR, 40), (STEEL, 50))
    ]
    assert max(sizes) / min(sizes) < 1.1


def test_a_harder_stroke_is_brighter_and_a_thumb_is_softer_than_a_finger() -> None:
    def bright(sound: Samples) -> float:
        power = spectrum(sound[:RATE], RATE) ** 2
        return float((power * np.arange(len(power))).sum() / power.sum())

    soft, middle, hard = (bright(pluck(UKULELE, 1, 60, layer)) for layer in (0, 1, 2))
    assert soft < middle < hard
    assert bright(pluck(BASS, None, 45)) < bright(pluck(GUITAR, None, 45)) / 1.5


def test_the_finger_is_heard_first() -> None:
    """A noise with no pitch, gone in 30 ms: what differs from the string without it."""
    alone = pluck(replace(UKULELE, noise=0.0), 0, 67).astype(float)
    noise = pluck(UKULELE, 0, 67) - alone
    assert np.abs(noise[:400]).max() > 0.005 and not np.abs(noise[1400:]).any()


def test_the_strings_of_a_pair_beat() -> None:
    """Two strings 0.12 % apart beat at that part of their frequency (arithmetic)."""
    mandolin = voices(Instrument.named("mandolin"))["tone"]
    sound = pluck(mandolin, 2, 69).astype(float)
    beat = 1 / (440 * 0.0012)
    levels = [decibels(sound, 440, beat * part) for part in (0.5, 1.0)]
    assert levels[1] > levels[0] + 2


def test_the_high_click_is_higher_and_both_are_short() -> None:
    def pitch(sound: Samples) -> float:
        return float(np.abs(np.fft.rfft(sound, RATE)).argmax())

    assert pitch(click(high=True)) > pitch(click(high=False)) > 1000
    assert np.abs(click(high=True)[-100:]).max() < 0.01


def test_another_rate_has_the_same_pitch() -> None:
    found = np.abs(np.fft.rfft(pluck(UKULELE, 3, 69, 1, 8, 22_050)[:22_050]))
    assert int(found[300:600].argmax()) + 300 == 440


def test_a_banjos_skin_has_its_formant_and_lets_the_strings_ring_less() -> None:
    """Woodhouse et al. 2021: the lowest formant of a banjo peaks at 500 to 800 Hz.

    Rae 2010: of what it sounds, 99 % lies between 147 and 5200 Hz, most of it between 400 and 1800.
    Stephey & Moore 2008: its bridge resists the strings far less than that of a guitar.
    """
    banjo, guitar = Instrument.named("banjo"), voices(Instrument.named("guitar"))["tone"]
    skin = voices(banjo)["tone"]
    boxed = replace(skin, modes=guitar.modes, plate=guitar.plate)
    hz = np.geomspace(100, 2000, 600)
    width = 600 * np.log(2 ** (1 / 3)) / np.log(20)
    heard = np.abs(radiated(skin, 2j * np.pi * hz)) ** 2
    smooth = np.convolve(heard, np.ones(int(width)) / int(width), "same")
    assert 500 < hz[np.argmax(smooth)] < 800
    moved = [np.log10(np.abs(admittance(one, hz))).mean() for one in (skin, boxed)]
    assert 15 < 20 * (moved[0] - moved[1]) < 25
    inside, middle, falls = [], [], []
    for string, midi in enumerate(banjo.midi):
        sound = pluck(skin, string, midi, 1, 8).astype(float)
        power, bands = spectrum(sound, 1 << 19) ** 2, np.fft.rfftfreq(1 << 19, 1 / RATE)
        whole = power.sum()
        inside.append(power[(bands > 140) & (bands < 5200)].sum() / whole)
        middle.append(power[(bands > 400) & (bands < 1800)].sum() / whole)
        falls.append([seconds_to_fall(pluck(v, string, midi, 1, 8), 20) for v in (skin, boxed)])
    assert np.mean(inside) > 0.985 and np.mean(middle) > 0.5
    assert all(short < 0.6 * long for short, long in falls)


def seconds_to_fall(sound: Samples, decibel: float) -> float:
    """Return when all that is still to come is so much softer than the whole (Schroeder 1965)."""
    left = np.cumsum(sound[::-1].astype(float) ** 2)[::-1]
    return float(np.argmax(left < left[0] * 10 ** (-decibel / 10)) / RATE)
