"""Sound, measured: pitch, length, peak, silence."""

from __future__ import annotations

import io
import subprocess
import sys
import wave
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from heard import cents, measured_pitch
from scipy.signal import fftconvolve, resample_poly

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.sound import mixing
from harmonykit.sound import rendering as sound_module
from harmonykit.sound.events import play, play_loops
from harmonykit.sound.loudness import CEILING, loudness
from harmonykit.sound.mixing import answers
from harmonykit.sound.performance import Event, Performance
from harmonykit.sound.pluck import pluck
from harmonykit.sound.rendering import RATE, Samples, Sound, mix, render, wav_bytes, write_wav
from harmonykit.tune.groove.value import EASES, Groove, plain

Arranged = Callable[..., Arrangement]


def test_a_performance_sounds_the_pitches_of_its_shapes(arranged: Arranged) -> None:
    # C6 as 0-0-0-0 on g C E A: G4 C4 E4 A4; the last chord is held.
    performance = play(arranged("C6=0000", tempo=60), count_in=False, click=False)
    sound = render(performance)[2000:62_000]
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    for midi in (67, 60, 64, 69):
        hertz = 440 * 2 ** ((midi - 69) / 12)
        assert abs(cents(measured_pitch(sound, hertz), hertz)) < 1
    # Nothing at the third that the chord does not have.
    other = int(440 * 2 ** ((63 - 69) / 12) * len(sound) / RATE)
    here = int(440 * 2 ** ((64 - 69) / 12) * len(sound) / RATE)
    assert spectrum[other - 2 : other + 3].max() < spectrum[here - 2 : here + 3].max() / 20


def test_the_sound_is_as_long_as_the_performance(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010 | C=0003", tempo=97))
    assert len(render(performance)) == round(performance.seconds * RATE)


# A bar, or its chords, on which instrument, in which metre, how fast.
KINDS_OF_MUSIC = {
    "one chord": (("C=0003",), {}),
    "slow": (("C=0003 | F=2010 | C=0003", (4, 4), 24), {}),
    "fast": (("C=0003 | " * 8 + "C=0003", (4, 4), 240), {}),
    "waltz": (("C=0003 | F=2010 | C=0003", (3, 4), 90), {}),
    "guitar": (("G=320003 | C=x32010 | G=320003", (4, 4), 80, "guitar"), {}),
    "mostly rests": (("NC | NC | C=0003 | NC",), {}),
    "bass": (("C=0003 | F=2010 | C=0003", (4, 4), 96), {"bass": True}),
    "tuning": (("C=0003 | F=2010 | C=0003", (4, 4), 96), {"tuning": True}),
    "no click": (("C=0003 | F=2010 | C=0003",), {"click": False, "count_in": False}),
}


# What takes longest to mix is among the long tests.
LONG = {"slow", "fast", "waltz", "tuning"}
EITHER = [pytest.param(kind, marks=pytest.mark.long) if kind in LONG else kind
          for kind in KINDS_OF_MUSIC]  # fmt: skip


@pytest.fixture(scope="module", params=EITHER)
def any_music(request: pytest.FixtureRequest, arranged: Arranged) -> Performance:
    bars, how = KINDS_OF_MUSIC[request.param]
    return play(arranged(*bars), **how)


def test_everything_is_equally_loud(any_music: Performance) -> None:
    # Within 1 dB of one another: each within half of -20 LUFS.
    assert loudness(render(any_music), RATE) == pytest.approx(-20, abs=0.5)


def test_nothing_clips_between_the_samples_either(any_music: Performance) -> None:
    # BS.1770 annex 2: the true peak is found by four-fold oversampling; -1 dBTP is .891.
    sound = render(any_music)
    assert np.abs(sound).max() <= CEILING
    assert np.abs(resample_poly(sound, 4, 1)).max() < 0.891


def test_only_clicks_are_softer_and_do_not_clip(arranged: Arranged) -> None:
    sound = render(play(arranged("NC | NC")))
    assert -26 < loudness(sound, RATE) <= -20
    assert np.abs(resample_poly(sound, 4, 1)).max() < 0.891


def struck(sound: Samples) -> list[float]:
    """Return the seconds at which one string is struck.

    That is up to where the next 4 ms, a period of C4, are three times as high as the last 4 ms.
    """
    width = 176
    size = np.concatenate((np.zeros(width), np.abs(sound), np.zeros(width)))
    highest = np.lib.stride_tricks.sliding_window_view(size, width).max(axis=1)
    before, after = highest[: len(sound)], highest[width : width + len(sound)]
    rises = np.append(after > np.maximum(3 * before, 0.02), False)
    return [int(i) / RATE for i in np.flatnonzero(rises[:-1] & ~rises[1:])]


@pytest.mark.parametrize(("tempo", "late"), [(100, 2 / 3), (120, 2 / 3), (160, 7 / 11), (200, 0.6)])
def test_the_first_string_is_heard_on_the_beat_or_its_swung_place(
    tempo: int, late: float, arranged: Arranged
) -> None:
    """Within 1 ms; swing 2:1 up to 120, easing to 3:2 at 200 (common practice, no source)."""
    bars = "C=0003 F:5/2=2010 | C=0003 G7:7/2=0212 | C=0003"
    swing = replace(plain((4, 4)).exact, swing=EASES)
    arrangement = arranged(bars, tempo=tempo, groove=swing)
    performance = play(arrangement, count_in=False, click=False)
    first, last = (
        struck(
            mix(replace(performance, events=tuple(e for e in performance.events if e.string == s)))
        )
        for s in (0, 3)
    )
    # Off the beat the hand goes up: the last string comes first.
    heard = [
        one if n not in (3, 9) else other
        for n, (one, other) in enumerate(zip(first, last, strict=True))
    ]
    beats = [0, 1, 2, 2 + late, 3, 4, 5, 6, 7, 7 + late, 8]
    assert heard == pytest.approx([beat * 60 / tempo for beat in beats], abs=0.001)


# Downs and ups in quarters from the bar line (common practice, no source: 3/4 D DU DU; 6/8 D-U
# twice; 5/4 D DU D, D DU), and how far into a whole bar a pick-up starts.
METRES = [
    ((3, 4), "D - D U D U", [0, 1, 2], [1.5, 2.5], None),
    ((6, 8), "D - U D - U", [0, 1.5], [1, 2.5], None),
    ((5, 4), "D - D U D - D - D U", [0, 1, 2, 3, 4], [1.5, 4.5], None),
    ((3, 4), "D - D U D U", [0, 1, 2], [1.5, 2.5], Fraction(1)),
]


@pytest.mark.parametrize(("meter", "strum", "downs", "ups", "pickup"), METRES)
def test_downs_and_ups_of_every_metre_are_heard_on_their_places(
    meter: tuple[int, int],
    strum: str,
    downs: list[float],
    ups: list[float],
    pickup: Fraction | None,
    arranged: Arranged,
) -> None:
    """Within 1 ms: a down begins with the first string, an up with the last, none is swung."""
    bars = "C=0003 | F=2010 | C=0003 | G7=0212"
    groove = Groove.parse(strum, meter).exact
    performance = play(arranged(bars, meter, 80, pickup=pickup, groove=groove), click=False)
    quarter = 60 / 80
    origin = performance.count_in_seconds
    whole = meter[0] * 4 / meter[1]
    # A pick-up enters inside the count-in with the strokes of the end of its bar.
    first = -1 if pickup else 0
    whole_bars = range(first, first + 3)

    def places(strokes: list[float]) -> list[float]:
        found = [bar * whole + place for bar in whole_bars for place in strokes]
        return [origin + p * quarter for p in found if p >= -float(pickup or 0)]

    for string, meant in ((0, downs), (3, ups)):
        mine = tuple(e for e in performance.strummed if e.string == string)
        heard = struck(mix(replace(performance, events=mine)))
        for place in places(meant):
            assert min(abs(place - at) for at in heard) < 0.001, (string, place, heard)
    # The held chord at the end, and nothing else.
    count = len(places(downs)) + len(places(ups)) + 1
    assert len(heard) == count


@pytest.mark.parametrize(("bar", "spread"), [(0, 0.025), (1, 0.035)])
def test_the_strings_of_a_strum_are_heard_as_far_apart_as_set(
    bar: int, spread: float, arranged: Arranged
) -> None:
    # 15 to 35 ms from the first string to the last (common practice, no source); the held chord
    # is the slower.
    performance = play(arranged("C=0003 | F=2010", tempo=60), count_in=False, click=False)
    heard = [
        struck(
            mix(replace(performance, events=tuple(e for e in performance.events if e.string == s)))
        )
        for s in range(4)
    ]
    begin = [times[4 * bar] for times in heard]
    assert begin == pytest.approx([4 * bar + spread * s / 3 for s in range(4)], abs=0.001)


def test_a_loop_is_one_round_of_an_endless_sound(arranged: Arranged) -> None:
    """Three rounds written out as one list of events: the loop is the middle one."""
    ((_, loop),) = play_loops(arranged("C=0003 | F=2010 | G7=0212", tempo=90), bass=True)
    rounds = tuple(
        replace(event, onset=event.onset + round_ * loop.seconds)
        for round_ in range(3)
        for event in loop.events
    )
    # At this rate every string of a strum starts on a whole sample.
    rate = 48_000
    long = mix(replace(loop, events=rounds, seconds=4 * loop.seconds, around=False), rate)
    once = mix(loop, rate)
    assert len(once) == round(loop.seconds * rate)
    assert np.abs(once - long[len(once) : 2 * len(once)]).max() < 1e-6


def test_a_loop_joins_without_a_click(arranged: Arranged) -> None:
    """Where the end meets the start a loop steps no further than where a chord comes inside it."""
    ((_, loop),) = play_loops(arranged("C=0003 | C=0003", tempo=90), click=False)
    rate = 48_000
    sound = render(loop, rate)
    half = len(sound) // 2
    twice = np.concatenate((sound[half:], sound[:half]))
    seam = slice(half - 1000, half + 1000)
    # Both bars are alike, so the seam has to sound as the bar line inside does.
    assert np.abs(twice[seam] - sound[seam]).max() < 1e-3
    assert np.abs(np.diff(twice[seam])).max() == pytest.approx(np.abs(np.diff(sound[seam])).max())
    # A round that is cut off at its end lacks what rings over.
    cut = render(replace(loop, around=False), rate)
    assert np.abs(np.concatenate((cut[half:], cut[:half]))[seam] - cut[seam]).max() > 0.01


def test_silence_is_silent(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 NC:2 | NC | C=0003", tempo=60), count_in=False, click=False)
    sound = render(performance)
    assert np.abs(sound[: 2 * RATE]).max() > 0.1
    # The room and the open strings have answered for 1.2 s by then.
    assert np.abs(sound[round(3.25 * RATE) : 8 * RATE]).max() < 1e-6
    assert np.abs(sound[round(2.5 * RATE) : 8 * RATE]).max() < np.abs(sound).max() / 300
    assert not render(replace(performance, events=())).any()


def test_a_click_is_heard_where_no_chord_is(arranged: Arranged) -> None:
    sound = render(play(arranged("C=0003 NC:2 | NC", tempo=60), count_in=False))
    assert np.abs(sound[3 * RATE : 3 * RATE + 500]).max() > 0.01


def test_loud_is_louder_than_soft(arranged: Arranged) -> None:
    silent = play(arranged("NC", tempo=60), count_in=False, click=False)

    def peak(velocity: int) -> float:
        events = (Event(0, 1, 69, 0, "tone", velocity), Event(2, 1, 69, 0, "tone", 127))
        return float(np.abs(render(replace(silent, events=events))[:RATE]).max())

    assert peak(60) < peak(90) < peak(127)


def test_a_wav_file_has_one_channel_of_16_bits(arranged: Arranged) -> None:
    sound = render(play(arranged("C=0003", tempo=120)))
    with wave.open(io.BytesIO(wav_bytes(sound)), "rb") as file:
        kind = (file.getnchannels(), file.getsampwidth(), file.getframerate(), file.getnframes())
        read = np.frombuffer(file.readframes(len(sound)), "<i2")
    assert kind == (1, 2, 44_100, len(sound))
    assert np.abs(read / 32767 - sound).max() < 1 / 32767


@pytest.mark.parametrize("given", ["text", None, [[0.0], [1.0]], [True], ["0.5"], 3])
def test_what_is_not_a_sound_writes_no_file(given: object, tmp_path: Path) -> None:
    with pytest.raises(HarmonyError, match="was given") as caught:
        write_wav(tmp_path / "a.wav", given)  # type: ignore[arg-type]
    assert "hk.progression" in str(caught.value) and not any(tmp_path.iterdir())
    with pytest.raises(HarmonyError, match="the path of the WAV file"):
        write_wav(7, [0.5])  # type: ignore[arg-type]
    assert wav_bytes([0.5, 0]) == wav_bytes(np.array([0.5, 0.0]))  # type: ignore[arg-type]


def test_the_same_performance_gives_the_same_bytes(arranged: Arranged) -> None:
    files = []
    for _ in range(2):
        pluck.cache_clear()
        files.append(wav_bytes(render(play(arranged("C=0003 | F=2010")))))
    assert files[0] == files[1]


def test_hours_of_sound_are_refused(arranged: Arranged) -> None:
    endless = replace(play(arranged("C=0003")), seconds=7200)
    with pytest.raises(HarmonyError, match=r"120 minutes of sound(?s:.)*30 minutes at most"):
        render(endless)


def at_once(performance: Performance, rate: int = RATE) -> Samples:
    """Mix a performance in one array, event by event, as long as all of it and its last ring."""
    total = round(performance.seconds * rate)
    dry, sent = np.zeros((2, total + 60 * rate)), np.zeros((2, total + 60 * rate))
    for event in performance.events:
        source, pan = mixing.sounding(event, performance.instrument, rate)
        sound = source[: max(round(event.length * rate), 0)] * (event.velocity / 127) ** 1.5
        # What is over fades out in 0.03 s.
        fade = min(int(0.03 * rate), len(sound))
        sound[len(sound) - fade :] *= np.linspace(1, 0, fade)
        inside = slice(round(event.onset * rate), round(event.onset * rate) + len(sound))
        sent[int(event.kind == "click"), inside] += sound
        # The same power wherever it is: sine and cosine of a quarter turn.
        dry[:, inside] += np.outer(
            [np.cos((pan + 1) * np.pi / 4), np.sin((pan + 1) * np.pi / 4)], sound
        )
    heard = [
        dry[side]
        + sum(
            fftconvolve(row, each[side])[: dry.shape[1]]
            for row, each in zip(sent, answers(performance.instrument, rate), strict=True)
        )
        for side in (0, 1)
    ]
    long = np.stack(heard, axis=1)
    if not performance.around:
        # The end of all of it fades out in 0.25 s.
        last = min(int(0.25 * rate), total)
        long[total - last : total] *= (0.5 + 0.5 * np.cos(np.pi * np.arange(last) / last))[:, None]
        return long[:total]
    rounds = np.zeros((-(-len(long) // total) * total, 2))
    rounds[: len(long)] = long
    return rounds.reshape(-1, total, 2).sum(0)


class TestBlocks:
    """A sound in blocks is the sound as a whole, however long the blocks are."""

    def test_the_mix_is_that_of_one_array(self, any_music: Performance) -> None:
        assert np.allclose(mix(any_music, channels=2), at_once(any_music), rtol=0, atol=2e-6)

    def test_so_is_one_that_goes_round(self, arranged: Arranged) -> None:
        loops = play_loops(arranged("C=0003 | F=2010", (4, 4), 240), bass=True)
        # Shorter than a string rings: what rings over the end comes round several times.
        for seconds in (loops[0][1].seconds, 0.7):
            loop = replace(loops[0][1], seconds=seconds)
            assert np.allclose(mix(loop, channels=2), at_once(loop), rtol=0, atol=5e-6)

    @pytest.mark.parametrize(("size", "kept"), [(9_973, 0), (1 << 20, 1 << 40)])
    def test_it_is_the_same_for_blocks_of_any_length(
        self, any_music: Performance, size: int, kept: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        whole = render(any_music, channels=2)
        monkeypatch.setattr(mixing, "BLOCK", size)
        monkeypatch.setattr(sound_module, "_KEPT_BYTES", kept)
        sound = Sound(any_music)
        assert max(map(len, sound)) <= size
        # A step of 16 bits is 3e-5.
        assert np.abs(np.concatenate(list(sound)) - whole).max() < 3e-5

    @pytest.mark.parametrize("minutes", [6, pytest.param(30, marks=pytest.mark.long)])
    def test_it_takes_no_more_memory_than_its_blocks(self, minutes: int) -> None:
        # At eight bytes a sample the whole of six minutes would take 127 MB.
        found = subprocess.run(
            [sys.executable, "-c", MINUTES, str(minutes)],
            capture_output=True, check=True, text=True,
        )  # fmt: skip
        before, after, size = map(int, found.stdout.split())
        assert size == 44 + 4 * 60 * minutes * RATE
        assert after - before < 100_000_000

    def test_what_is_longer_is_refused_before_it_is_mixed(self, any_music: Performance) -> None:
        for make in (Sound, mix, render):
            with pytest.raises(HarmonyError, match="30 minutes at most"):
                make(replace(any_music, seconds=1800.1))


MINUTES = """
import resource, sys
from harmonykit.sound.performance import Event, Performance
from harmonykit.sound.rendering import Sound
from harmonykit.theory.key import Key

def peak():
    # Linux hands on the peak of whoever started this process: ask for that of its own memory.
    if sys.platform.startswith("linux"):
        with open("/proc/self/status") as status:
            return next(int(line.split()[1]) for line in status if line[:6] == "VmHWM:") * 1024
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit

seconds = 60 * int(sys.argv[1])
events = tuple(Event(i * 0.5, 2.0, 55 + i % 20, 0, "tone", 80) for i in range(2 * seconds))
played = Performance(events, float(seconds), 60.0, (4, 4), 0.0, (), (), (), Key.parse("C"))
before = peak()

class Counted:
    size = 0

    def write(self, data):
        self.size += len(data)
        return len(data)

    def tell(self):
        return self.size

    def flush(self):
        pass

counted = Counted()
Sound(played).write_wav(counted)
print(before, peak(), counted.size)
"""
