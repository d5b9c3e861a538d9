"""Tunes as values: bars, playing order, numbers, transposition.  Values worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarChange, BarNote, TuneError, bar_length
from harmonykit.tune.tune import Section, Tune

Q = Fraction


def tune_of(*sections: Section, form: tuple[str, ...] = (), key: str = "C") -> Tune:
    return Tune("Trial", Key.parse(key), (4, 4), 120, sections, form)


def bar(*symbols: str, meter: tuple[int, int] = (4, 4), length: Fraction | None = None) -> Bar:
    whole = bar_length(meter) if length is None else length
    share = whole / max(len(symbols), 1)
    chords = [(Chord.parse(text), share * n) for n, text in enumerate(symbols)]
    return Bar.of(meter, chords, whole)


def test_form_unfolds_with_running_onsets():
    tune = tune_of(Section("A", (bar("C"),)), Section("B", (bar("F", "G7"),)), form=("A", "B", "A"))
    assert [(c.chord.symbol, c.onset, c.beats, c.bar) for c in tune.changes] == [
        ("C", 0, 4, 1),
        ("F", 4, 2, 2),
        ("G7", 6, 2, 2),
        ("C", 8, 4, 1),
    ]
    assert [(played.onset, played.section) for played in tune.playing] == [
        (0, "A"),
        (4, "B"),
        (8, "A"),
    ]
    assert tune.length == 12


def test_a_chord_sounds_on_over_the_bar_line_and_into_the_repeat():
    late = Bar.of((4, 4), [(Chord.parse("G7"), Q(2))])
    tune = tune_of(Section("A", (bar("C"), late)), Section("B", (Bar.of((4, 4), []),)))
    assert [(c.chord.symbol, c.onset, c.beats) for c in tune.changes] == [
        ("C", 0, 6),
        ("G7", 6, 6),
    ]


def test_nothing_sounds_before_the_first_chord():
    tune = tune_of(Section("A", (Bar.of((4, 4), []), bar("C"))))
    assert [(c.chord and c.chord.symbol, c.onset, c.beats, c.bar) for c in tune.changes] == [
        (None, 0, 4, 1),
        ("C", 4, 4, 2),
    ]


def test_a_pickup_is_bar_0_and_the_halves_of_a_split_bar_share_a_number():
    up, down = Q(1), Q(3)
    bars = (bar("C", length=up), bar("F"), bar("C", length=down), bar("G", length=up), bar("C"))
    tune = tune_of(Section("A", bars))
    assert [b.number for b in tune.bars] == [0, 1, 2, 2, 3]
    assert tune.pickup == 1
    # Five are written: the pick-up is not one, and two halves are one.
    assert (len(tune.playing), tune.bar_count) == (5, 3)


def test_two_short_bars_that_are_more_than_one_bar_are_two():
    tune = tune_of(Section("A", (bar("C"), bar("F", length=Q(3)), bar("G", length=Q(2)))))
    assert [b.number for b in tune.bars] == [1, 2, 3]
    assert tune.pickup == 0


def test_tied_notes_are_one_in_playing_order():
    d5 = Note.parse("D5")
    first = Bar(0, (4, 4), Q(4), melody=(BarNote(d5, Q(3), Q(1), tied=True),))
    second = Bar(0, (4, 4), Q(4), melody=(BarNote(d5, Q(0), Q(2)), BarNote(d5, Q(2), Q(1))))
    tune = tune_of(Section("A", (first, second)))
    assert [(str(s.note), s.onset, s.beats) for s in tune.melody] == [("D5", 3, 3), ("D5", 6, 1)]


def test_a_tie_into_another_note_joins_nothing():
    notes = [BarNote(Note.parse(n), Q(i), Q(1), tied=True) for i, n in enumerate(("D5", "E5"))]
    tune = tune_of(Section("A", (Bar(0, (4, 4), Q(4), melody=tuple(notes)),)))
    assert [str(s.note) for s in tune.melody] == ["D5", "E5"]


@pytest.mark.parametrize(
    ("key", "interval", "expected_key", "chord", "expected"),
    [
        ("C", "M2", "D major", "Db7", "Eb7"),  # cases/reports: by interval, not D#7
        ("Bb", "P4", "Eb major", "F7", "Bb7"),
        ("C", "A4", "F# major", "G7", "C#7"),
        ("B", "M2", "Db major", "F#7", "Ab7"),  # C# major has seven sharps
        ("E", "M6", "Db major", "B7", "Ab7"),
        ("F", "-A1", "E major", "C7", "B7"),  # F flat major has eight flats
        ("D#m", "P5", "Bb minor", "A#7", "F7"),  # A# minor has seven sharps
    ],
)
def test_transposing_spells_by_interval_within_six_accidentals(
    key, interval, expected_key, chord, expected
):
    # Circle of fifths: the signatures named in the comments.
    moved = tune_of(Section("A", (bar(chord),)), key=key).transpose(interval)
    assert str(moved.key) == expected_key
    assert moved.changes[0].chord == Chord.parse(expected)


def test_the_melody_is_transposed_with_its_octave():
    notes = (BarNote(Note.parse("B4"), Q(0), Q(4)),)
    tune = tune_of(Section("A", (Bar(0, (4, 4), Q(4), melody=notes),)))
    assert str(tune.transpose("m2").melody[0].note) == "C5"
    # C to C# major is written D flat: the notes go along.
    assert str(tune.transpose("A1").melody[0].note) == "C5"


def test_a_tune_is_a_value():
    one, other = (tune_of(Section("A", (bar("C"),))) for _ in range(2))
    assert one == other
    assert hash(one) == hash(other)
    assert one.tempo == 120
    assert str(one.tempo) == "120"


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: tune_of(), "no bars"),
        (lambda: tune_of(Section("A", ())), "no bars"),
        (lambda: tune_of(Section("A", (bar("C"),)), Section("A", (bar("C"),))), "name of its own"),
        (lambda: tune_of(Section("A", (bar("C"),)), form=("A", "C")), "'C'"),
        (lambda: Tune("Trial", Key.parse("C"), (4, 4), 5, (Section("A", (bar("C"),)),)), "from 10"),
        (lambda: Bar(3, (4, 4), Q(4), (BarChange(None, Q(0), Q(3)),)), "bar 3"),
        (lambda: Bar.of((4, 4), [(None, Q(2)), (None, Q(1))]), "gap"),
        (lambda: Bar(1, (4, 4), Q(4), melody=(BarNote(Note.parse("C4"), Q(3), Q(2)),)), "melody"),
    ],
)
def test_what_is_no_tune_is_refused(make, message):
    with pytest.raises(TuneError, match=message):
        make()


# Counted by hand in the three files: bars as played, and for a chord how often it is written.
@pytest.mark.parametrize(
    ("name", "bars", "written"),
    [
        ("heron_landing", 32, {"E7": 2, "Em7": 2, "D7": 1}),
        ("slack_water_waltz", 16, {"D7": 3, "Gm": 2, "Bb6": 1}),
        ("ropewalk_blues", 12, {"D7": 1, "Bb7": 1, "A7": 2}),
        ("mud_berth_blues", 12, {"C7": 3, "G7": 5, "E7": 2}),
        ("lantern_ferry", 32, {"Dm6": 3, "E7": 4, "C": 2}),
        ("dry_dock_bossa", 32, {"Fm6": 4, "Bb7": 1, "C6": 1}),
        ("tugboat_muster", 24, {"F#7": 1, "E7": 5, "B7": 1}),
        ("lamp_for_the_late_boat", 32, {"Ebm6": 1, "G7": 1, "Cm7": 3}),
        ("bell_on_the_bar", 12, {"F": 6, "Bb": 3, "C7": 3}),
    ],
)
def test_the_shipped_tunes_are_what_they_say(root, name, bars, written):
    tune = read_tune(root / "data" / "tunes" / f"{name}.toml")
    assert len(tune.playing) == bars
    assert tune.doubts == ()
    assert tune.pickup == 0
    changes = [c.chord.symbol for s in tune.sections for bar in s.bars for c in bar.changes]
    assert {symbol: changes.count(symbol) for symbol in written} == written
    assert "MIT licence" in tune.notes


SUNG = ["mud_berth_blues", "lantern_ferry", "dry_dock_bossa", "tugboat_muster"]
SUNG += ["lamp_for_the_late_boat", "bell_on_the_bar"]


def bars_of(name: str) -> list[Bar]:
    return [bar for section in read_tune(name).sections for bar in section.bars]


@pytest.mark.parametrize("name", SUNG)
def test_a_shipped_melody_can_be_sung_over_its_chords(name):
    # A twelfth at most, one highest note, and no long note a half step above a tone of its chord
    # (common practice, no source).
    sung = [(note, bar) for bar in bars_of(name) for note in bar.melody]
    heights = [note.note.midi for note, _ in sung]
    assert max(heights) - min(heights) <= 19 and heights.count(max(heights)) == 1
    for note, bar in sung:
        if note.beats >= 1:
            (chord,) = [c.chord for c in bar.changes if c.at <= note.at < c.at + c.beats]
            assert note.note.pitch_class in chord.pcs or (
                (note.note.pitch_class - 1) % 12 not in chord.pcs
            ), (str(note.note), str(chord))


def test_a_round_fits_at_each_entry():
    # Common practice, no source: on each beat the three voices sound no half step, and no two of
    # them move from a fifth to a fifth, or from an octave to an octave.
    bars = bars_of("bell_on_the_bar")
    chords = [c.chord for bar in bars for c in bar.changes]
    assert chords == chords[:4] * 3
    line = [n.note.midi for bar in bars for n in bar.melody for _ in range(int(n.beats))]
    beats = list(zip(line[:16], line[16:32], line[32:], strict=True))
    # Who ends a phrase begins the next, so that the round goes round.
    for now, later in pairwise([*beats, (*beats[0][1:], beats[0][0])]):
        for a, b in ((0, 1), (1, 2), (0, 2)):
            gap, after = abs(now[a] - now[b]) % 12, abs(later[a] - later[b]) % 12
            assert gap not in (1, 11), now
            still = now[a] == later[a] or now[b] == later[b]
            assert still or gap != after or gap not in (0, 7), (now, later)


def test_a_form_without_end_is_refused():
    long = tune_of(Section("A", tuple(bar("C") for _ in range(200))), form=("A",) * 101)
    with pytest.raises(TuneError, match="20000"):
        _ = long.playing


@pytest.mark.parametrize("given", [{"key": "D"}, {"meter": "3/4"}, {"naming": "german"}])
def test_the_text_form_says_its_own_key(given: dict[str, str]) -> None:
    text = find_data("tunes", "heron_landing").read_text()
    with pytest.raises(TuneError, match="the text form gives its own"):
        Tune.parse(text, **given)


def test_a_moved_chord_has_a_root_that_is_easy_to_read() -> None:
    """G flat 7 in F is A7 in A flat, not B double flat 7 (common practice, no source)."""
    moved = Tune.parse("Key: F\n| F D7 | Gm7 Gb7 |").transpose_to("Ab")
    assert [str(change.chord) for change in moved.changes] == ["Ab", "F7", "Bbm7", "A7"]
