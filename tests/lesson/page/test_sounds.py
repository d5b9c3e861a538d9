"""What the page's script is given to play: times in seconds, by hand at 60 to the minute."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.lesson.page.sounds import music
from harmonykit.lesson.plan.model import Level, Played
from harmonykit.sound.material import Material
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.tune.groove.shelf import find_groove

Arranged = Callable[..., Arrangement]


def level(way: Arrangement, *practice: str, tempo: float = 60) -> Played:
    lines = tuple(Rehearsal.parse(line) for line in practice)
    own = Level("plain", (), "", limits_at(3, way.instrument), 0.1, tempo, practice=lines)
    return Played(own, way, "level-1")


def sounded(way: Arrangement, *practice: str, tempo: float = 60) -> dict[str, Any]:
    return music(level(way, *practice, tempo=tempo))


@pytest.mark.parametrize(
    ("meter", "beats", "seconds"), [((4, 4), 4, 1.0), ((3, 4), 3, 1.0), ((6, 8), 2, 1.5)]
)
def test_bars_and_beats_follow_one_another_in_their_metre(
    arranged: Arranged, meter: tuple[int, int], beats: int, seconds: float
) -> None:
    found = sounded(arranged("C=0003 | F=2010 | C=0003", meter))
    bar = beats * seconds
    assert [b - a for a, b in pairwise(found["bars"])] == pytest.approx([bar, bar])
    assert found["bars"][0] == pytest.approx(found["countIn"]) and found["countIn"] % bar == 0
    assert found["end"] == pytest.approx(found["countIn"] + 3 * bar)
    assert found["seconds"] >= found["end"] - bar
    assert found["beats"] == [[beats, pytest.approx(seconds)]] * 3
    # A chord is shown as the next one a beat before it.
    assert found["steps"] == [
        [pytest.approx(start), pytest.approx(start - seconds), n]
        for n, start in enumerate(found["bars"])
    ]


def test_every_click_bears_its_beat_and_every_tone_its_string(arranged: Arranged) -> None:
    """On g4 C4 E4 A4: 0-0-0-3 sounds 67, 60, 64 and 72 (MIDI, by hand)."""
    found = sounded(arranged("C=0003 | F=2010"))
    pitches = [{1: 67, 2: 60, 3: 64, 4: 72}, {1: 69, 2: 60, 3: 65, 4: 69}]
    for start, events, own in zip(found["bars"], found["events"], pitches, strict=True):
        clicks = [(onset, string) for onset, _, _, string, kind, _ in events if kind == "click"]
        assert clicks == [(pytest.approx(start + n), n + 1) for n in range(4)]
        tones = {(string, midi) for _, _, midi, string, kind, _ in events if kind == "tone"}
        strings = {string for string, _ in tones}
        assert len(strings) == 4
        low = min(strings)
        assert {string - low + 1: midi for string, midi in tones} == own
        assert all(start - 0.1 <= onset < start + 4 for onset, *_ in events)
        assert all(length > 0 and 0 < loud <= 127 for _, length, _, _, _, loud in events)
    assert 0 < found["gain"] < 20 and found["leading"] is None and found["practice"] == []


def test_what_comes_next_is_said_with_its_root(arranged: Arranged) -> None:
    found = sounded(arranged("C=0003 | NC | Bb=3211 | F#m=2120"))
    said = found["names"]
    assert [root for _, root in said] == [0, -1, 10, 6]
    assert said[1][0] == "" and said[0][0].startswith("C") and "flat" in said[2][0]
    assert "sharp" in said[3][0] and "minor" in said[3][0]


def test_places_are_told_for_each_bar_step_and_note(arranged: Arranged) -> None:
    found = sounded(arranged("C=0003 F:2=2010 | C=0003"))
    assert found["places"] == {"bars": (0, 1), "steps": [0, 1, 2], "notes": []}
    assert found["sung"] == []


def test_a_line_of_practice_is_played_as_it_says(arranged: Arranged) -> None:
    way = arranged("C=0003 | F=2010 | C=0003 | C#=10-8-9-8 | C=0003 | F=2010")
    bars, hard, whole = sounded(
        way, "bars 2-3, tempi 60-80, click 2+4", "hard change 4 bars", "without bass, names"
    )["practice"]
    assert tuple(bars["span"]) == (1, 2) and tuple(bars["tempi"]) == (60, 70, 80)
    assert tuple(bars["beats"]) == (2, 4) and bars["intro"] == 0
    assert hard["span"][1] - hard["span"][0] == 3 and hard["span"][0] <= 3 <= hard["span"][1]
    assert whole["span"] is None and "bass" not in whole["parts"]
    assert whole["names"] and not bars["names"] and "bass" in bars["parts"]


def test_twice_the_tempo_takes_half_the_time(arranged: Arranged) -> None:
    way = arranged("C=0003 | F=2010")
    slow, fast = sounded(way), sounded(way, tempo=120)
    one, two = ([b - a for a, b in pairwise(each["bars"])] for each in (slow, fast))
    assert one == pytest.approx([2 * each for each in two])
    assert [s - r for s, r, _ in slow["steps"]] == pytest.approx([1.0, 1.0])
    assert [s - r for s, r, _ in fast["steps"]] == pytest.approx([0.5, 0.5])


def test_a_melody_is_timed_from_its_own_bar(arranged: Arranged) -> None:
    from harmonykit.theory.note import Note
    from harmonykit.tune.bar import BarNote
    from harmonykit.tune.tune import Section

    way = arranged("C=0003 | F=2010")
    first, second = way.tune.bars
    sung = (BarNote(Note.parse("E5"), Fraction(1), Fraction(1)),
            BarNote(Note.parse("G5"), Fraction(3), Fraction(1)))  # fmt: skip
    sections = (Section("A", (replace(first, melody=sung), replace(second, melody=sung[:1]))),)
    found = sounded(replace(way, tune=replace(way.tune, sections=sections)))
    start, after = found["bars"]
    assert found["sung"] == pytest.approx([start + 1, start + 3, after + 1])
    assert [line for _, line in found["places"]["notes"]] == [-1] * 3


def test_a_bar_that_is_struck_early_begins_and_ends_otherwise_beside_others(
    arranged: Arranged,
) -> None:
    """A bossa pushes over the bar line: the page gets both edges of each bar, where it has them."""
    way = arranged("C=0003 | F=2010 | G7=0212 | C=0003")
    way = replace(way, groove=find_groove("bossa"))
    found, material = sounded(way), Material.of(way, 60)
    assert material.edges
    wanted = {
        str(bar): {
            name: (edge[0], [event.onset for event in edge[1]])
            for name, edge in zip(("head", "tail"), edges, strict=True)
            if edge is not None
        }
        for bar, edges in material.edges.items()
    }
    assert found["edges"].keys() == wanted.keys()
    names = set()
    for bar, edges in found["edges"].items():
        assert edges.keys() == wanted[bar].keys()
        names |= edges.keys()
        for name, edge in edges.items():
            at, onsets = wanted[bar][name]
            assert edge["at"] == pytest.approx(at, abs=1e-6)
            assert [event[0] for event in edge["events"]] == pytest.approx(onsets, abs=1e-5)
    assert names == {"head", "tail"}
    # A strum on every beat begins with its own bar.
    assert sounded(arranged("C=0003 | F=2010"))["edges"] == {}
