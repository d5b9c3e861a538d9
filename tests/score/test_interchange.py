"""Real files, read through the child process and checked by hand against what stands in them."""

from __future__ import annotations

import signal
import sys
import zipfile
from collections.abc import Callable
from fractions import Fraction as Q
from pathlib import Path

import pytest
from tables import DATA

from harmonykit.score import child as score_child
from harmonykit.score import interchange
from harmonykit.score.files import read_tune, written
from harmonykit.score.interchange import read_score
from harmonykit.tune.bar import TuneError
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune


@pytest.fixture(scope="module")
def music21_folder() -> Path:
    import music21

    return Path(music21.__file__).parent


def timed(tune: Tune) -> list[tuple[str, Q, Q]]:
    return [(c.chord.symbol if c.chord else "-", c.onset, c.beats) for c in tune.changes]


@pytest.fixture
def zipped(tmp_path) -> Callable[[str], Path]:
    """Return a function that packs a score of ``tests/data`` as notation programs do."""

    def pack(name: str) -> Path:
        path = tmp_path / f"{name}.mxl"
        inside = '<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>'
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("META-INF/container.xml", inside)
            archive.writestr("score.xml", (DATA / f"{name}.musicxml").read_bytes())
        return path

    return pack


def test_four_bars_over_a_bass(zipped):
    # By hand from the XML: P1, divisions 64, 4/4, one flat, metronome quarter = 96; four measures.
    # Harmonies: m1 before the first note F major; m2 C major; m3 G minor with bass B flat before
    # the first note, then after 32 + 32 + 64 = 128 divisions (two quarters, beat 3) C dominant;
    # m4 F major.  No repeat.  6 + 5 + 5 + 4 = 20 notes sung in P1.
    tune = read_tune(zipped("bass_line"))
    assert timed(tune) == [
        ("F", 0, 4),
        ("C", 4, 4),
        ("Gm/Bb", 8, 2),
        ("C7", 10, 2),
        ("F", 12, 4),
    ]
    assert [c.bar for c in tune.changes] == [1, 2, 3, 3, 4]
    assert (len(tune.bars), len(tune.playing), tune.length) == (4, 4, 16)
    assert (str(tune.key), tune.meter, tune.tempo, tune.pickup) == ("F major", (4, 4), 96, 0)
    assert tune.doubts == ()
    assert len(tune.melody) == 20
    assert [(str(s.note), s.onset, s.beats) for s in tune.melody[:4]] == [
        ("A4", 0, 1),
        ("C5", 1, Q(1, 2)),
        ("A4", Q(3, 2), Q(1, 2)),
        ("F4", 2, Q(1, 2)),
    ]


PART_A = [
    ("D", 0, 4), ("G", 4, 2), ("A", 6, 2), ("C", 8, 4), ("G", 12, 2), ("A7", 14, 2), ("D", 16, 4),
    ("Em", 20, 2), ("A7", 22, 2), ("D", 24, 2), ("A7", 26, 2), ("D", 28, 4),
]  # fmt: skip
PART_B = [
    ("D", 0, 4), ("Bm", 4, 4), ("G", 8, 4), ("A7", 12, 4), ("D", 16, 4), ("G", 20, 2),
    ("A7", 22, 2), ("D", 24, 2), ("A7", 26, 2), ("D", 28, 4),
]  # fmt: skip


def test_a_reel_with_a_pickup_and_two_repeated_parts():
    # By hand from the text under X: 80: M:4/4, L:1/4, K:D, no tempo.  Part A: a pick-up A of one
    # quarter, seven bars of four quarters, a last bar "D"f d d of three, then :| with no |: before;
    # part B the same with its own pick-up f/2g/2.  Both are played twice, so that the whole is
    # 4 x 32 quarters; the chord of the last bar carries on through the pick-up that follows it.
    tune = read_tune(DATA / "two_reels.abc", number=80)
    expected = [("-", Q(0), Q(1))]
    for start, part in ((1, PART_A), (33, PART_A), (65, PART_B), (97, PART_B)):
        expected += [(name, start + at, beats) for name, at, beats in part]
    expected[-1] = ("D", 125, 3)
    assert timed(tune) == expected
    assert tune.length == 128
    assert (len(tune.bars), len(tune.playing)) == (18, 36)
    assert [bar.number for bar in tune.bars] == [*range(9), 8, *range(9, 17)]
    assert (str(tune.key), tune.meter, tune.pickup) == ("D major", (4, 4), 1)
    assert tune.order == ("A", "B")
    assert tune.doubts == ("no tempo is given: 120 quarter notes a minute are assumed",)
    # Bar 3, under "C": =c holds for the bar, and after it c is sharp again by the key.
    third = [str(s.note) for s in tune.melody if 9 <= s.onset < 17]
    assert third == ["C5", "B4", "A4", "G4", "C5", "E5", "G5"] + [
        "D5", "B4", "G4", "A4", "C#5", "A4", "G4", "E4"
    ]  # fmt: skip


def test_many_tunes_and_no_number_give_a_list():
    path = DATA / "two_reels.abc"
    with pytest.raises(TuneError) as caught:
        read_tune(path)
    # The file has two X: fields, 80 and 81.
    assert "the file holds 2 tunes" in str(caught.value)
    assert "rule: it holds 80 " in str(caught.value)
    assert ", 81 " in str(caught.value)
    with pytest.raises(TuneError, match="no tune with number 900"):
        read_tune(path, number=900)


def test_a_lead_sheet_with_fifteen_bars_without_a_chord(zipped):
    # By hand from the XML: 34 measures in 4/4; harmonies stand in 19 of them, one each, at the
    # start; measures 1 3 5 8 9 13-16 20 22 27-30 have none, measure 1 the words N.C.;
    # |: before 2, :| after 33 (first ending), 34 the second: 33 + 32 = 65 bars played.
    tune = read_tune(zipped("lead_sheet"))
    empty = [bar.number for bar in tune.bars if not any(c.chord for c in bar.changes)]
    assert empty == [1, 3, 5, 8, 9, 13, 14, 15, 16, 20, 22, 27, 28, 29, 30]
    assert (len(tune.bars), len(tune.playing), tune.length) == (34, 65, 260)
    # B flat in 2 lasts two bars, G minor in 7 three, E flat in 12 five.
    lasting = {c.bar: (c.chord.symbol, c.beats) for c in tune.changes if c.chord}
    assert (lasting[2], lasting[7], lasting[12]) == (("Bb", 8), ("Gm", 12), ("Eb", 20))
    assert [c.bar for c in tune.changes].count(33) == 1
    assert tune.changes[0].chord is None


@pytest.fixture(scope="module")
def abc_samples():
    from music21.abcFormat import testFiles

    return testFiles


def test_a_waltz_with_four_endings(abc_samples):
    # By hand from the text: 3/4, L:1/8, a pick-up A2B2 of two quarters; |: 15 bars, [1 :| [2, then
    # |: 15 bars, [1 :| [2 A2 z2, which is two quarters only.  2 + 4 x 16 x 3 - 1 = 193.
    tune = read_score("hector.abc", ".abc", abc_samples.hectorTheHero.encode(), None)
    assert (tune.pickup, tune.length, len(tune.playing)) == (2, 193, 65)
    assert (str(tune.key), tune.meter) == ("A major", (3, 4))
    assert timed(tune)[:6] == [
        ("-", 0, 2),
        ("A", 2, 3),
        ("D", 5, 3),
        ("A", 8, 6),
        ("F#m", 14, 3),
        ("D", 17, 3),
    ]
    assert "bar 34: 2 quarter notes, where a bar of 3/4 has 3" in tune.doubts
    assert [bar.ending for bar in tune.bars if bar.ending] == [(1,), (2,), (1,), (2,)]


def test_quoted_letters_that_are_no_chords(abc_samples):
    with pytest.raises(TuneError, match="no chords") as caught:
        read_score("rosa.abc", ".abc", abc_samples.sicutRosa.encode(), None)
    assert "A B C are read as rehearsal letters, not chords" in str(caught.value)


def test_a_file_of_airs_without_chords(music21_folder):
    with pytest.raises(TuneError, match="the tune has no chords"):
        read_tune(music21_folder / "corpus" / "airdsAirs" / "book1.abc", number=1)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # By hand from the XML: eight harmonies, one a quarter.  C; C major-seventh with #11 added;
        # B dominant with #9 added and #5 altered; E flat suspended-second with 3 added; G minor
        # (text "m"); D sharp major-seventh; A diminished-seventh; A augmented ...
        ("71a-Chordnames", "C Cmaj7#11 B7(#5,#9) Ebsus2add3 Gm D#maj7 Adim7 A+"),
        # Two staves, chords above each: in time, not in the order of the file.
        ("71d-ChordsFrets-Multistaff", "C D7 Ebm9 Cm7add11"),
        # Two harmonies before each half note: "a harmony change during a note".
        ("71g-MultipleChordnames", "C F#m6 Dm7 G7"),
    ],
)
def test_harmonies_of_the_lilypond_suite(music21_folder, name, expected):
    from harmonykit.theory.chord import Chord

    tune = read_tune(music21_folder / "musicxml" / "lilypondTestSuite" / f"{name}.xml")
    assert [c.chord for c in tune.changes] == [Chord.parse(text) for text in expected.split()]
    assert {c.beats for c in tune.changes} == {1}


def test_a_harmony_in_a_pickup(music21_folder):
    # By hand: measure 0 of one quarter and measure 1 of four; C stands over both.
    name = "46g-PickupMeasure-Chordnames-FiguredBass.xml"
    tune = read_tune(music21_folder / "musicxml" / "lilypondTestSuite" / name)
    assert timed(tune) == [("C", 0, 1), ("C", 1, 4)]
    assert tune.pickup == 1


def test_what_was_read_is_written_and_read_again():
    for name in ("lead_sheet.musicxml", "bass_line.musicxml"):
        tune = read_tune(DATA / name)
        assert Tune.parse(write_text(tune)) == tune


BUSY = """
from harmonykit.score.child import limit
limit({seconds})
print("ready", flush=True)
while True:
    pass
"""


def test_a_file_that_uses_up_its_processor_time_is_refused(monkeypatch):
    def command(suffix, seconds, number):
        return [sys.executable, "-c", BUSY.format(seconds=seconds)]

    monkeypatch.setattr(interchange, "_command", command)
    with pytest.raises(TuneError, match="too long to read") as caught:
        read_score("x.abc", ".abc", b"X:1\n", None, seconds=0.5)
    assert caught.value.rule == "0.5 seconds of processor time at most"


def test_a_busy_machine_takes_no_time_from_a_file(monkeypatch):
    # The child gets no turn while another process uses up as much as both of them may: that one
    # has the same limit, and so ends when it has had all the time that the child has in hand.
    script = """
import json, subprocess, sys
from harmonykit.score.child import limit
limit(0.1)
print("ready", flush=True)
other = subprocess.run([sys.executable, "-c", "while True: pass"])
print(json.dumps({"error": {"what": f"it got to its end, the other to {other.returncode}"}}))
"""
    monkeypatch.setattr(interchange, "_command", lambda *_: [sys.executable, "-c", script])
    wanted = f"it got to its end, the other to {-signal.SIGXCPU}"
    with pytest.raises(TuneError, match=wanted):
        read_score("x.abc", ".abc", b"X:1\n", None, seconds=0.1)


def test_a_file_that_hangs_is_given_up(monkeypatch):
    script = "import signal; print('ready', flush=True); signal.pause()"
    monkeypatch.setattr(interchange, "_command", lambda *_: [sys.executable, "-c", script])
    monkeypatch.setattr(interchange, "DEADLINE", 0.2)
    with pytest.raises(TuneError, match="too long to read") as caught:
        read_score("x.abc", ".abc", b"X:1\n", None)
    assert caught.value.rule == "0.2 seconds at most"


@pytest.mark.parametrize(
    ("script", "message"),
    [
        ("print('no')", "music21 cannot be loaded"),
        ("raise SystemExit(1)", "music21 cannot be loaded"),
        ("print('ready'); print('{')", "the file cannot be read"),
        ("print('ready', flush=True); import os; os._exit(9)", "the file cannot be read"),
    ],
)
def test_a_child_that_breaks_is_one_clear_error(monkeypatch, script, message):
    monkeypatch.setattr(interchange, "_command", lambda *_: [sys.executable, "-c", script])
    with pytest.raises(TuneError, match=message):
        read_score("x.abc", ".abc", b"X:1\n", None)


def test_memory_is_limited_where_the_system_can():
    resource = pytest.importorskip("resource", reason="this system has no memory limit")
    kinds = (resource.RLIMIT_AS, resource.RLIMIT_CPU)
    before = [resource.getrlimit(kind) for kind in kinds]
    try:
        score_child.limit(600)
        assert resource.getrlimit(resource.RLIMIT_AS)[0] == score_child.MEMORY_BYTES
        assert resource.getrlimit(resource.RLIMIT_CPU)[0] >= 600
    finally:
        for kind, limits in zip(kinds, before, strict=True):
            resource.setrlimit(kind, limits)


WITHOUT_A_HEADER = """
M:4/4
ed|cABc d2ef|gedc B2ed|cABc d2ef|g2d2 G2:|
K:G

GA|BdgB AcfA|GBdG F2ED|BdgB AcfA|G2B2 G2:|

% a comment

G2B dBG|A2c ecA|\\
M:9/8
B2d g2d B2G|]

"C"[CEGc] "Gm7"[.=B,^f']

(3.c.d.e  % short
vBudvB  % down and up bow
"""


def test_a_primitive_abc_text_without_a_header():
    # By hand, eighths by the metre: a pick-up of 1 and bars of 4 4 4 3, repeated, twice over: 64;
    # bars of 3, 3 and 4 1/2 quarters; then C for an eighth, and Gm7 for an eighth, a triplet of
    # three eighths and three eighths more.
    tune = read_score("primitive.abc", ".abc", WITHOUT_A_HEADER.encode(), None)
    assert timed(tune) == [("-", 0, 74.5), ("C", 74.5, 0.5), ("Gm7", 75, 3)]
    assert (len(tune.bars), len(tune.playing), tune.pickup) == (14, 24, 1)


def test_chords_with_frames(music21_folder):
    # By hand from the XML: eight harmonies with frames, one a quarter, in two bars.
    from harmonykit.theory.chord import Chord

    folder = music21_folder / "musicxml" / "lilypondTestSuite"
    tune = read_tune(next(folder.glob("71c-*.xml")))
    expected = "C Cmaj7#11 B7(#5,#9) Ebadd9 Gm D#maj7 Adim7 C"
    assert [c.chord for c in tune.changes] == [Chord.parse(text) for text in expected.split()]
    assert {c.beats for c in tune.changes} == {1}
    assert len(tune.bars) == 2


def test_a_pick_up_that_is_written_again_is_not_doubted(tmp_path):
    rows = {
        "A": ("| {1 quarter} - | G | D7 | G |", "| D4:1 | G4:3 | A4:3 | B4:3 |"),
        "B": ("| C | D7 | G |", "| C5:3 | A4:3 | B4:3 |"),
    }
    parts = "".join(
        f'[[sections]]\nname = "{name}"\nchanges = "{chords}"\nmelody = "{notes}"\n'
        for name, (chords, notes) in rows.items()
    )
    head = 'format = 1\ntitle = "Kite"\nkey = "G"\nmeter = "3/4"\nform = ["A", "B", "A"]\n'
    tune = Tune.parse(head + parts)
    path = tmp_path / "kite.musicxml"
    path.write_bytes(written(tune, path))
    assert not [doubt for doubt in read_tune(path).doubts if "quarter notes" in doubt]


def test_several_tunes_say_what_to_type_in_the_command_and_in_python():
    with pytest.raises(TuneError) as fault:
        read_tune(DATA / "two_reels.abc")
    assert fault.value.mend.startswith("--number 80 behind the command; in Python number=80")
