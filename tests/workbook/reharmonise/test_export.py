"""What is taken away, read back by others: score, pages, lead sheet, MIDI, table, lesson."""

from __future__ import annotations

import csv
import io
import itertools
import wave
from pathlib import Path

import mido
import music21
import pytest

from harmonykit.arrange.chosen_lines import chosen_lines
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.weights import Weights
from harmonykit.errors import HarmonyError
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.front import MOST_LEVELS
from harmonykit.paths import data_dir
from harmonykit.score.files import read_tune
from harmonykit.values import replace
from harmonykit.workbook.reharmonise.controls import after_set
from harmonykit.workbook.reharmonise.export import (
    EXPORTS,
    LEVEL,
    RATE,
    export,
    left_out,
    lesson_text,
    sound_of_way,
    turn_bars,
)
from harmonykit.workbook.reharmonise.framing import phrases_of
from harmonykit.workbook.reharmonise.state import OWN_STYLE, ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, Ways, find_best, tune_of

TUNE = """format = 1
title = "Bollard Round"
key = "G minor"
meter = "4/4"
tempo = 96
[[sections]]
name = "A"
changes = "| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Gm6 |"
melody = "| D5:4 | F5:4 | Eb5:2 C5:2 | A4:4 | Bb4:4 | r:4 |"
"""


@pytest.fixture(scope="module")
def ways() -> Ways:
    return find_best(ReharmoniseState(text=TUNE, best=2), lambda done, total: None)


def test_music21_reads_the_scores_chords_and_voices_as_they_are_shown(
    ways: Ways, tmp_path: Path
) -> None:
    path = export("score", ways, ways.state, tmp_path / "out")
    part = music21.converter.parse(path).parts[-1]
    found = [
        (float(each.getOffsetInHierarchy(part)), tuple(sorted(p.midi for p in each.pitches)))
        for each in part.recurse().getElementsByClass("Chord")
        if not isinstance(each, music21.harmony.ChordSymbol)
    ]
    steps = ways.chosen("best-1").arrangement.steps
    assert found == [(float(s.onset), tuple(sorted(set(s.sounds)))) for s in steps]


def test_the_lead_sheet_has_the_chords_and_the_melody(ways: Ways, tmp_path: Path) -> None:
    score = music21.converter.parse(export("lead", ways, ways.state, tmp_path))
    symbols = list(score.recurse().getElementsByClass("ChordSymbol"))
    steps = ways.chosen("best-1").arrangement.steps
    kept = [s for n, s in enumerate(steps) if n == 0 or s.chord != steps[n - 1].chord]
    roots = [each.root().name.replace("-", "b") for each in symbols]
    assert roots == [step.chord.root.name for step in kept if step.chord]
    notes = [n.pitch.midi for n in score.recurse().notes if isinstance(n, music21.note.Note)]
    assert notes == [74, 77, 75, 72, 69, 70]


def test_the_midi_file_sounds_the_shapes(ways: Ways, tmp_path: Path) -> None:
    file = mido.MidiFile(export("midi", ways, ways.state, tmp_path))
    sounded = {m.note for t in file.tracks for m in t if m.type == "note_on" and m.channel != 9}
    steps = ways.chosen("best-1").arrangement.steps
    assert {pitch for step in steps for pitch in step.sounds} <= sounded


def test_the_tune_has_the_chords_and_the_melody(ways: Ways, tmp_path: Path) -> None:
    tune, best = read_tune(export("tune", ways, ways.state, tmp_path)), ways.chosen("best-1")
    chords = [step.chord for step in best.arrangement.steps if step.chord]
    told = [change.chord for change in tune.changes]
    assert [chord for chord, _ in itertools.groupby(told)] == [
        chord for chord, _ in itertools.groupby(chords)
    ]
    assert [note.note for note in tune.melody] == [note.note for note in ways.tune.melody]


def test_the_table_has_a_row_for_each_way_that_is_listed(ways: Ways, tmp_path: Path) -> None:
    with export("table", ways, ways.state, tmp_path).open(encoding="utf-8", newline="") as file:
        head, *rows = list(csv.reader(file))
    assert [row[0] for row in rows] == ["as written", "usual 1", "usual 2"]
    column = head.index("added (chords)")
    assert [int(row[column]) for row in rows] == [r.values[2] for r in ways.rows]


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("style", "smooth"),
        ("hand", "level 1"),
        ("max_fret", "9"),
        ("density", "full"),
        ("texture", "close"),
        ("texture", "shells"),
        ("contours", "fall"),
        ("intro", "turnaround twice"),
    ],
)
def test_a_lesson_finds_what_was_found_here(tmp_path: Path, control: str, value: str) -> None:
    state = ReharmoniseState(
        text=TUNE,
        moves=("leading-tone diminished", "descending passing diminished"),
        prefer="leading-tone diminished",
        tempo=90,
    )
    if control == "contours":
        for phrase in range(len(phrases_of(tune_of(state)))):
            state = after_set(state, f"contour-{phrase}", value)
    else:
        state = after_set(state, control, value)
    ways = find_best(state, lambda done, total: None)
    lesson = load_lesson(export("lesson", ways, state, tmp_path))
    level, played = lesson.front.levels[-1], lesson.played[-1].arrangement
    # Where the best adds nothing, the level is the tune as written.
    moves = state.moves if ways.chosen("best-1").measures.added else ()
    assert (level.name, level.moves, level.limits) == (LEVEL, moves, state.limits)
    assert level.density == state.density
    # A shell of a diminished seventh lacks a tone that a lesson's shapes sound.
    assert level.texture == ("" if value == "shells" else state.texture)
    lost = left_out(ways.chosen("best-1"), state)
    assert lost.startswith("without the texture shells") == (value == "shells")
    assert not lost or f"# {lost}" in lesson_text(ways, state, "tune.toml")
    assert level.contour == ("fall" if control == "contours" else "")
    assert len(lesson.front.levels) <= MOST_LEVELS and lesson.front.tune == ways.tune
    best = ways.chosen("best-1").arrangement
    # The chords are the same; a lesson takes shapes that its first levels have taught.
    chords = [(s.chord, s.onset) for s in best.steps]
    assert [(s.chord, s.onset) for s in played.steps] == chords
    assert LEVEL in {section.title for section in lesson.sections}


SHIPPED = [path.stem for path in sorted((data_dir() / "tunes").glob("*.toml"))]


# Not every tune in every style, which takes minutes: each tune, and each style several times.
@pytest.mark.parametrize(
    ("name", "style", "instrument"),
    [
        (name, style, ("ukulele", "mandolin", "guitar")[number % 3])
        for number, name in enumerate(SHIPPED)
        for place, style in enumerate(STYLES)
        if (place - number) % len(STYLES) < 2 or (style == "rich" and not number % 4)
    ],
)
def test_a_draft_on_a_shipped_tune_has_the_chords_of_the_page(
    name: str, style: str, instrument: str, tmp_path: Path
) -> None:
    text = (data_dir() / "tunes" / f"{name}.toml").read_text(encoding="utf-8")
    state = after_set(ReharmoniseState(text=text, best=1), "style", style)
    state = after_set(state, "instrument", instrument)
    ways = find_best(state, lambda done, total: None)
    front = load_lesson(export("lesson", ways, state, tmp_path)).front
    played = play_level(front, len(front.levels) - 1).arrangement
    best = ways.chosen("best-1").arrangement
    assert [(s.chord, s.onset) for s in played.steps] == [(s.chord, s.onset) for s in best.steps]


def test_a_draft_has_what_was_locked_in_it_each_time_round(tmp_path: Path) -> None:
    """What is chosen for one time round stands in it, and not in the others."""
    state = ReharmoniseState(text="Key: C\n|: C6 | A7 | Dm7 | G7 :|", best=3)
    state = after_set(after_set(state, "style", "rich"), "density", "full")
    ways = find_best(state, lambda done, total: None)
    rows = [row for row in ways.rows if row.measures.added]
    lines = chosen_lines(rows[-1].arrangement)
    asked = replace(state, chosen=rows[-1].id)
    lesson = load_lesson(export("lesson", ways, asked, tmp_path))
    assert chosen_lines(lesson.played[-1].arrangement) == lines


def test_a_draft_of_a_chord_melody_with_moves_leaves_the_texture_out(tmp_path: Path) -> None:
    state = after_set(ReharmoniseState(text=TUNE, best=1), "texture", "chord melody")
    ways = find_best(after_set(state, "density", "full"), lambda done, total: None)
    row = ways.chosen("best-1")
    assert row.measures.added and left_out(row, state).startswith("without the texture chord")
    assert load_lesson(export("lesson", ways, state, tmp_path)).front.levels[-1].texture == ""


def test_a_draft_is_never_written_over(ways: Ways, tmp_path: Path) -> None:
    first = export("lesson", ways, ways.state, tmp_path)
    first.write_text("a teacher's own words", encoding="utf-8")
    second = export("lesson", ways, ways.state, tmp_path)
    assert second != first and first.read_text(encoding="utf-8") == "a teacher's own words"


def test_a_folder_that_cannot_be_made_is_said(ways: Ways, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(HarmonyError, match="cannot be made"):
        export("midi", ways, ways.state, tmp_path / "file")


@pytest.mark.parametrize("what", EXPORTS)
def test_nothing_is_left_beside_what_was_written(ways: Ways, tmp_path: Path, what: str) -> None:
    path = export(what, ways, ways.state, tmp_path / "out")
    others = {each.name for each in path.parent.iterdir()} - {path.name}
    assert others <= {"bollard-round.toml"}


def test_lessons_share_a_tune_that_is_as_it_was_and_no_other(ways: Ways, tmp_path: Path) -> None:
    tune = export("lesson", ways, ways.state, tmp_path).with_suffix(".toml")
    own = tune.read_bytes() + b"# mine\n"
    tune.write_bytes(own)
    second = export("lesson", ways, ways.state, tmp_path)
    assert tune.read_bytes() == own and second.with_suffix(".toml").exists()
    # The lesson goes, its tune stays: it is the same still, and serves again.
    second.unlink()
    assert export("lesson", ways, ways.state, tmp_path) == second


def best(text: str, **asked: object) -> Row:
    state = ReharmoniseState(text=text, best=1, **asked)  # type: ignore[arg-type]
    return find_best(state, lambda done, total: None).rows[-1]


def test_bars_and_chords_begin_when_the_tempo_says() -> None:
    """Four quarters at 96 a minute are 2.5 s; the count-in is one bar."""
    row = best("| Gm6 | Bb7 | Eb6 | D7 |", tempo=96.0)
    heard = sound_of_way(row.arrangement)
    assert heard.times["bars"] == [2.5, 5.0, 7.5, 10.0]
    starts = [2.5 + float(step.onset) * 60 / 96 for step in row.arrangement.steps]
    assert [start for start, _, _ in heard.times["steps"]] == [round(s, 6) for s in starts]
    assert all(round(start - ready, 6) == 0.625 for start, ready, _ in heard.times["steps"])


def test_the_file_is_as_long_as_it_says() -> None:
    heard = sound_of_way(best("| C6 | Am7 | Dm7 | G7 |").arrangement)
    with wave.open(io.BytesIO(heard.wav)) as file:
        assert file.getframerate() == RATE
        assert abs(file.getnframes() / RATE - heard.times["seconds"]) < 0.001


def test_turns_are_sections_and_eight_bars_of_longer_ones() -> None:
    row = best("|" + " C6 | Dm7 |" * 10)
    assert turn_bars(row.arrangement) == [0, 8, 16]


def test_a_score_keeps_the_repeat_of_bars_with_the_same_chords(tmp_path: Path) -> None:
    """The shapes of the last time stand in it, as in the command's."""
    text = "|: C6 | F6 | Dm7 | G7 :| Eb6 | Ab6 |"
    state = ReharmoniseState(text, moves=(), best=1, style=OWN_STYLE, weights=Weights())
    ways = find_best(state, lambda done, total: None)
    steps = ways.chosen("best-1").arrangement.steps
    assert [s.voicing for s in steps[:4]] != [s.voicing for s in steps[4:8]]
    part = music21.converter.parse(export("score", ways, ways.state, tmp_path)).parts[-1]
    assert len(part.getElementsByClass("Measure")) == 6
    repeats = part.recurse().getElementsByClass(music21.bar.Repeat)
    assert [each.direction for each in repeats] == ["start", "end"]
