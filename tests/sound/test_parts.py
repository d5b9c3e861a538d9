"""What bass, tuning notes and melody play; strings and clicks are heard in ``test_events``."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import play
from harmonykit.sound.performance import Event, Performance

Arranged = Callable[..., Arrangement]


def bass(performance: Performance) -> list[Event]:
    return [e for e in performance.events if e.kind == "bass"]


def notes(arrangement: Arrangement) -> list[tuple[float, int]]:
    performance = play(arrangement, count_in=False, click=False, bass=True)
    beat = 60 / performance.tempo
    return [(round(e.onset / beat, 6), e.midi) for e in bass(performance)]


def test_there_is_a_bass_where_it_is_asked_for(arranged: Arranged) -> None:
    assert not bass(play(arranged("C=0003")))
    plain, low = (play(arranged("C=0003 | F=2010"), bass=b) for b in (False, True))
    assert tuple(e for e in low.events if e.kind != "bass") == plain.events


def test_in_four_the_bass_is_on_one_and_three(arranged: Arranged) -> None:
    # C3 is 48 and F2 41 (MIDI 60 is C4); the last chord is held, and its bass with it.
    assert notes(arranged("C=0003 | F=2010")) == [(0, 48), (2, 48), (4, 41)]


@pytest.mark.parametrize(
    ("meter", "places"),
    [((3, 4), [0]), ((6, 8), [0]), ((5, 4), [0, 3]), ((12, 8), [0, 3]), ((2, 4), [0])],
)
def test_the_bass_is_on_the_heavy_beats(
    meter: tuple[int, int], places: list[float], arranged: Arranged
) -> None:
    """Weights of beats (common practice, no source): 3-1-1, 2-1, 4-1-1-2-1."""
    whole = meter[0] * 4 / meter[1]
    found = notes(arranged("C=0003 | C=0003", meter))
    assert found == [(place, 48) for place in places] + [(whole, 48)]


def test_a_bass_enters_with_its_chord_and_follows_the_slash(arranged: Arranged) -> None:
    found = notes(arranged("C=0003 C/E:1=0003 G7:3=0212 | C=0003"))
    # C, then E twice, G, C: E is 4 semitones above C, G 7; C/E has the third in the bass.
    assert [(at, midi % 12) for at, midi in found] == [(0, 0), (1, 4), (2, 4), (3, 7), (4, 0)]
    assert all(40 <= midi < 60 for _, midi in found)


def test_a_bass_lasts_until_the_next_and_is_silent_where_no_chord_is(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 NC:3 | F=2010", tempo=60), count_in=False, bass=True)
    assert [(e.onset, e.length) for e in bass(performance)] == [(0, 2), (2, 1), (4, 5.5)]


@pytest.mark.parametrize(
    ("instrument", "shapes", "lowest"),
    [("ukulele", "E=1402", 40), ("guitar", "E=022100", 28), ("baritone ukulele", "E=2100", 40)],
)
def test_a_bass_is_below_the_strings(
    instrument: str, shapes: str, lowest: int, arranged: Arranged
) -> None:
    arrangement = arranged(shapes, instrument=instrument)
    ((_, pitch),) = notes(arrangement)
    assert pitch == lowest < min(arrangement.instrument.midi)


def test_tuning_notes_are_the_open_strings_in_order_before_the_count_in(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010", tempo=60), tuning=True)
    # g C E A: G4 C4 E4 A4 (Kaai 1906); three beats of a second each, at least 2.5 s.
    opened = [e for e in performance.tones if e.onset < performance.tuning_seconds]
    assert [(e.onset, e.length, e.midi, e.string) for e in opened] == [
        (0, 3, 67, 0), (3, 3, 60, 1), (6, 3, 64, 2), (9, 3, 69, 3),
    ]  # fmt: skip
    assert performance.tuning_seconds == 12 == performance.clicks[0].onset
    assert performance.count_in_seconds == 16 == performance.bars[0][1]


@pytest.mark.parametrize("tempo", [50, 97, 133, 240])
@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (6, 8)])
def test_tuning_notes_leave_all_else_as_it_is(
    tempo: int, meter: tuple[int, int], arranged: Arranged
) -> None:
    arrangement = arranged("C=0003 | F=2010", meter, tempo, pickup=Fraction(1, 2))
    plain, tuned = (play(arrangement, tuning=t) for t in (False, True))
    shift = tuned.tuning_seconds
    # Bar lines stay where they are: the tuning takes whole bars.
    bars = shift * tempo / 60 * meter[1] / 4 / meter[0]
    assert bars == pytest.approx(round(bars)) and round(bars) > 0
    later = [e for e in tuned.events if e.onset >= shift - 1e-6]
    assert len(later) == len(plain.events) and len(tuned.events) == len(later) + 4
    for one, other in zip(later, plain.events, strict=True):
        assert one.onset - shift == pytest.approx(other.onset)
        assert (one.midi, one.string, one.kind) == (other.midi, other.string, other.kind)
    each = {round(e.length, 6) for e in tuned.events if e.end <= shift + 1e-6}
    assert len(each) == 1 and each.pop() >= 2.5
