"""Chord lists with times, by hand; labels as mir_eval reads them."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.score.files import read_tune
from harmonykit.score.labels import find_tempo, read_labels

# A four-bar turn at 96 quarter notes a minute, 0.625 s each, after half a second of silence.
LIST = """0.000\t0.500\tN
0.500\t3.000\tBb:maj7
3.000\t4.250\tG:7(b9)/3
4.250\t5.500\tC:min7
5.500\t8.000\tF:7
8.000\t10.500\tN
10.500\t13.000\tBb:maj6
13.000\t13.700\tN
"""


def test_a_list_by_hand():
    tune = read_labels(LIST, "ropewalk.lab")
    found = [(c.chord and c.chord.symbol, c.onset, c.beats) for c in tune.changes]
    assert found == [
        ("Bbmaj7", 0, 4),
        ("G7b9/B", 4, 2),
        ("Cm7", 6, 2),
        ("F7", 8, 4),
        (None, 12, 4),
        ("Bb6", 16, 4),
    ]
    assert (tune.title, tune.tempo, str(tune.key)) == ("ropewalk", 96, "Bb major")
    assert any("no tempo or metre: 96 quarter notes" in doubt for doubt in tune.doubts)
    assert any("silence before" in doubt for doubt in tune.doubts)


def test_lengths_of_a_tempo_that_drifts_are_whole_beats():
    lines, now = [], 0.0
    for number in range(40):
        length = 4 * 60 / (118 + number % 5)
        lines.append(f"{now:.3f} {now + length:.3f} {'CFGA'[number % 4]}:maj")
        now += length
    tune = read_labels("\n".join(lines), "x.lab")
    assert {change.beats for change in tune.changes} == {4}
    assert 118 <= tune.tempo <= 122


@pytest.mark.parametrize("tempo", [90, 100, 138, 160])
def test_the_tempo_that_fits(tempo):
    lengths = [count * 60 / tempo for count in (4, 2, 2, 3, 1, 4, 5)]
    assert abs(find_tempo(lengths) - tempo) <= 1.5


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("0 2 C:maj\n1 3 G:7", 2, "run backwards"),
        ("0 2 C:maj\n4 3 G:7", 2, "run backwards"),
        ("0 2 C:maj\n1.9 3 G:7", 2, "run backwards"),
        ("0 2 C:maj\n2 3", 2, "the chord label is missing"),
        ("0 2 C:major7", 1, "not a chord label"),
        ("0 2 N\n", None, "no chords"),
        ("", None, "no chords"),
        ("0 99999 C:maj\n99999 100000 G:7", None, "too long"),
    ],
)
def test_faults_have_their_line(text, line, message):
    with pytest.raises(HarmonyError, match=message) as caught:
        read_labels(text, "x.lab")
    assert caught.value.place.line == line


def test_a_list_is_read_by_its_suffix_and_a_gap_is_silence(tmp_path):
    path = tmp_path / "slip.lab"
    path.write_text("# ours\n0 2 C:maj\n4 6 G:7\n", encoding="utf-8")
    tune = read_tune(path)
    assert [(c.chord and c.chord.symbol, c.beats) for c in tune.changes] == [
        ("C", 4),
        (None, 4),
        ("G7", 4),
    ]


def test_a_chord_of_one_beat_keeps_its_beat():
    """Three beats, one and four at 120 quarter notes a minute, half a second each."""
    tune = read_labels("0 1.5 C:maj\n1.5 2 D:min7\n2 4 G:7\n", "x.lab")
    assert (tune.tempo, [int(change.beats) for change in tune.changes]) == (120, [3, 1, 4])
