"""Levels as they are played: the melody in chords, several choruses, and levels side by side.

What sounds is judged by arithmetic over pitch classes, bar by bar.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import to_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.page.html import write_page
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.script import write_script
from harmonykit.sound.events import play
from harmonykit.words.numbers import join_words

TUNE = """format = 1
title = "Lamp on the Slipway"
key = "G"
meter = "4/4"
tempo = 84
form = ["A", "A", "B", "A"]

[[sections]]
name = "A"
changes = "| G6 | Em7 | Am7 D7 | G6 |"
melody = "| B4 D5 G5:2 | E5 D5 B4:2 | C5 B4:1/2 A4:1/2 A4 D5 | B4:2 r B4 |"

[[sections]]
name = "B"
changes = "| C6 | G6 | A7 | D7 |"
melody = "| E5:2 G5:2 | D5:3/2 C5:1/2 B4:2 | C#5:2 E5:2 | D5 C5 A4:2 |"
"""

LESSON = """+++
format = 2
title = "Side by side"
tune = "lamp.toml"
instrument = "ukulele"
chord = "F#dim7"
scale = "G major"
{levels}
+++

## Play

{{{{ chart({shown}) }}}}
"""


def lesson_of(folder: Path, *levels: str, tune: str = TUNE) -> Lesson:
    """Return a lesson with levels of these lines; the last is shown."""
    (folder / "lamp.toml").write_text(tune, encoding="utf-8")
    tables = "\n".join(f"[[levels]]\n{lines}" for lines in levels)
    path = folder / "lesson.md"
    path.write_text(LESSON.format(levels=tables, shown=len(levels)), encoding="utf-8")
    return load_lesson(path)


def fault_of(folder: Path, *levels: str, tune: str = TUNE) -> HarmonyError:
    with pytest.raises(HarmonyError) as caught:
        lesson_of(folder, *levels, tune=tune)
    return caught.value


MELODY = 'name = "Sung"\ntexture = "chord melody"\nreach = "usual"'


@pytest.fixture(scope="module")
def sung(tmp_path_factory: pytest.TempPathFactory) -> Lesson:
    return lesson_of(tmp_path_factory.mktemp("sung"), MELODY)


def test_the_highest_pitch_of_a_chord_melody_is_the_melody(sung: Lesson) -> None:
    """Note by note, in one octave or another, as the tune above is typed."""
    way = sung.played[0].arrangement
    heard = [(step.onset, step.sounds[-1] % 12) for step in way.sounding]
    pitches = [(note.onset, note.note.midi % 12) for note in way.tune.melody]
    assert set(pitches) <= set(heard)
    for onset, pitch in heard:
        assert pitch == next(p for at, p in reversed(pitches) if at <= onset)
    notes = [step for step in way.sounding if len(step.sounds) == 1]
    assert 0 < len(notes) < len(way.sounding)


def fretted(way: Arrangement, bar: int) -> list[tuple[Fraction, list[int]]]:
    """Return the frets of the four bars from one on, with their places in them."""
    steps = [step for step in way.sounding if bar * 4 <= step.onset < bar * 4 + 16]
    shapes = [(step.onset - bar * 4, step.voicing) for step in steps]
    return [(at, [f for f in shape.frets if f is not None]) for at, shape in shapes if shape]


def test_a_note_alone_bears_no_name_on_any_paper(sung: Lesson) -> None:
    way = sung.played[0].arrangement
    digits = {step.voicing.digits for step in way.sounding if step.alone and step.voicing}
    script, page = write_script(sung), write_page(sung)
    chart = Chart(way, Figures()).data()
    bars = [bar for row in chart["rows"] for bar in row["bars"]]
    chords = [step.chord.unicode for step in way.sounding if step.chord and not step.alone]
    assert {name["text"] for bar in bars for name in bar["names"]} <= set(chords)
    frets = sorted(note["text"] for row in chart["rows"] for note in row["tab"])
    first, second, middle, third = (fretted(way, bar) for bar in (0, 4, 8, 12))
    assert first == second == third != middle
    assert chart["order"] == ["A", "A", "B", "A"]
    assert frets == sorted(str(fret) for _, row in first + middle for fret in row)
    for one in digits:
        assert f"| {one} (" in script or f"; {one} (" in script
        assert f'data-frets="{one}"' in page and f"the note alone {one}" in page
    assert not digits & {shown.shape.digits for shown in sung.played[0].shown}
    assert "<fret>" in to_musicxml(way)


def test_a_chord_melody_is_struck_once_a_note(sung: Lesson) -> None:
    """Eighths swing by a sixth of a quarter at most, and a hand takes a while over the strings.

    What is beside the hand, the percussion of a groove, keeps its own time.
    """
    way = sung.played[0].arrangement
    early = way.strum.timing / 1000 * 84 / 60 + 1e-9
    events = play(way, 84, click=False, count_in=False).events
    struck = {event.onset * 84 / 60 for event in events if event.kind != "drum"}
    assert struck
    onsets = {float(step.onset) for step in way.sounding}
    assert all(any(-early < one - at < 0.25 for at in onsets) for one in struck)


def test_a_chord_melody_needs_a_melody_and_no_moves(tmp_path: Path) -> None:
    bare = "\n".join(line for line in TUNE.splitlines() if not line.startswith("melody"))
    assert "has no melody" in fault_of(tmp_path, MELODY, tune=bare).what
    fault = fault_of(tmp_path, f'{MELODY}\nmoves = ["suspension"]')
    assert "suspension" in fault.what and fault.mend == "moves = []"
    assert fault.place is not None and fault.place.text == 'texture = "chord melody"'


CHORUSES = 'name = "Four"\nchoruses = ["plain", "walking", "sparse", "rich"]\nreach = "wide"'


@pytest.fixture(scope="module")
def four(tmp_path_factory: pytest.TempPathFactory) -> Lesson:
    return lesson_of(tmp_path_factory.mktemp("four"), 'name = "Tune"\nreach = "wide"', CHORUSES)


def chords(way: Arrangement, first: int, stop: int) -> list[tuple[str, Fraction]]:
    """Return the chords of some bars, each with its length."""
    return [(str(s.chord), s.beats) for bar in way.bars()[first:stop] for s in bar]


def test_choruses_follow_one_another_without_a_gap(four: Lesson) -> None:
    plain, way = (played.arrangement for played in four.played)
    assert len(way.bars()) == 4 * len(plain.bars()) == 64
    assert all(a.onset + a.beats == b.onset for a, b in pairwise(way.steps))
    for step in way.steps:
        place = way.tune.playing[step.bar]
        assert place.onset <= step.onset < place.onset + place.bar.length


def test_each_chorus_has_its_manner_and_the_bridge_contrasts(four: Lesson) -> None:
    """The first chorus is the tune; under walks the third section, B, is as written."""
    plain, way = (played.arrangement for played in four.played)
    written = chords(plain, 0, 16)
    assert chords(way, 0, 16) == written
    assert chords(way, 16 + 8, 16 + 12) == written[10:14] == chords(plain, 8, 12)
    added = [{s.move for s in way.added if n * 16 <= s.bar < n * 16 + 16} for n in range(4)]
    assert not added[0] and {"ascending walk", "descending walk"} & added[1]
    assert added[3] - added[1] and added[2]
    bridge = [s for s in way.added if 40 <= s.bar < 44]
    assert {s.move for s in bridge} and not {s.move for s in bridge} & {"ii before a dominant"}


def test_choruses_are_told_on_every_paper(four: Lesson) -> None:
    said = "Chorus 2, bars 17 to 32, walking: lines up and down the neck; B as written."
    assert said in four.played[1].notes[0] and said in write_script(four)
    assert "Chorus 3, bars 33 to 48, sparse" in write_page(four)
    headings = {
        row["section"] for row in Chart(four.played[1].arrangement, Figures()).data()["rows"]
    }
    assert "A · walking" in headings
    assert "B sparse" in to_musicxml(four.played[1].arrangement)


def test_the_first_eight_bars_are_the_tune_whatever_the_first_chorus_is(tmp_path: Path) -> None:
    lesson = lesson_of(tmp_path, 'reach = "wide"', 'choruses = ["rich"]\nreach = "wide"')
    plain, rich = (played.arrangement for played in lesson.played)
    assert chords(rich, 0, 8) == chords(plain, 0, 8) and rich.added


def test_choruses_have_their_own_moves(tmp_path: Path) -> None:
    fault = fault_of(tmp_path, f'{CHORUSES}\nmoves = ["suspension"]')
    assert fault.what == "choruses and moves in one level"
    fault = fault_of(tmp_path, 'choruses = ["plain", "walkin"]')
    assert "walking" in fault.mend
    jumps = TUNE.replace("| A7 | D7 |", "| A7 | D7 {D.C.} |")
    fault = fault_of(tmp_path, 'choruses = ["plain", "rich"]', tune=jumps)
    assert "D.C." in fault.what and fault.place is not None


def rubbing(one: Arrangement, other: Arrangement) -> list[int]:
    """Return the bars in which two notes or more of one lie a semitone from some of the other."""
    found = []
    for a in one.steps:
        for b in other.steps:
            meet = a.onset < b.onset + b.beats and b.onset < a.onset + a.beats
            if meet and a.chord and b.chord:
                ours, theirs = set(a.chord.pcs), set(b.chord.pcs)
                near = [(x - y) % 12 in (1, 11) for x in ours - theirs for y in theirs - ours]
                if sum(near) > 1:
                    found.append(a.bar)
    return found


def test_the_script_says_in_which_choruses_a_level_plays_in_turn(four: Lesson) -> None:
    plain, way = (played.arrangement for played in four.played)
    found = []
    for number in range(4):
        inside = (step for step in way.steps if step.bar // 16 == number)
        steps = tuple(replace(s, onset=s.onset - 64 * number, bar=s.bar % 16) for s in inside)
        if rubbing(plain, replace(plain, steps=steps)):
            found.append(str(number + 1))
    assert found and "1" not in found
    assert f"take turns in chorus{'es' * (len(found) > 1)} {join_words(found)} (" in write_script(
        four
    )


def test_a_level_adds_where_the_lower_one_has_the_dominant(tmp_path: Path) -> None:
    """By itself a leading-tone diminished seventh also stands on chords that are not dominants."""
    level = 'moves = ["leading-tone diminished", "rootless dominant"]\nreach = "wide"'
    alone = lesson_of(tmp_path, level).played[0].arrangement
    plain, beside = (p.arrangement for p in lesson_of(tmp_path, "", level).played)
    assert rubbing(plain, alone)
    kept = {step.move for step in alone.added} <= {step.move for step in beside.added}
    named = [[(step.onset, step.chord) for step in way.added] for way in (beside, alone)]
    if kept and 2 * len(beside.added) >= len(alone.added) and named[0] != named[1]:
        assert not rubbing(plain, beside)
    script = write_script(lesson_of(tmp_path, "", level))
    said = "take turns in" if rubbing(plain, beside) else "All together"
    assert said in script


def test_dominants_alone_sound_together_with_the_tune(tmp_path: Path) -> None:
    """A dominant against the diminished seventh on its third has one semitone (arithmetic)."""
    level = 'moves = ["rootless dominant"]\nreach = "wide"'
    lesson = lesson_of(tmp_path, "", level)
    plain, beside = (played.arrangement for played in lesson.played)
    assert beside.added and not rubbing(plain, beside)
    assert "All together" in write_script(lesson)


def shapes(way: Arrangement) -> set[tuple[str, str]]:
    """Return the tune's own chords with their shapes."""
    steps = [step for step in way.sounding if step.voicing and not step.added]
    return {(str(step.chord), step.voicing.digits) for step in steps if step.voicing}


def played_on(
    folder: Path, tune: str, key: str, instrument: str, *levels: str
) -> list[Arrangement]:
    """Return levels of these lines on a tune that ships, as they are played."""
    tables = "\n".join(f"[[levels]]\n{lines}" for lines in levels)
    text = LESSON.format(levels=tables, shown=1).replace("lamp.toml", tune)
    text = text.replace("F#dim7", "C#dim7").replace("G major", key)
    path = folder / "lesson.md"
    path.write_text(text.replace('"ukulele"', f'"{instrument}"'), encoding="utf-8")
    return [played.arrangement for played in load_lesson(path).played]


def test_a_level_keeps_the_shapes_that_a_class_has(tmp_path: Path) -> None:
    """A search that knows of no class has other shapes for some chords than the level before."""
    blues = "ropewalk_blues", "D minor", "ukulele"
    level = 'moves = ["tritone substitution"]\nreach = "wide"\ntempo = 76'
    (way,) = played_on(tmp_path, *blues, level)
    asked = replace(way.asked, learning=None, known=())
    (alone,) = reharmonise(way.tune, way.instrument, way.moves, 1, wishes=asked)
    plain, beside = played_on(tmp_path, *blues, 'reach = "small"', level)
    assert shapes(alone) - shapes(plain)
    assert not shapes(beside) - shapes(plain)
    assert len(beside.added) >= len(alone.added)


def test_a_beginner_has_one_shape_a_chord_and_that_of_a_chord_book(tmp_path: Path) -> None:
    """Open shapes of the guitar from memory; any chord book begins with them."""
    (plain,) = played_on(tmp_path, "heron_landing", "D major", "guitar", 'reach = "small"')
    found = shapes(plain)
    assert len(found) == len({chord for chord, _ in found})
    assert found >= {
        ("Em7", "0-2-0-0-0-0"),
        ("A7", "x-0-2-0-2-0"),
        ("D7", "x-x-0-2-1-2"),
        ("E7", "0-2-0-1-0-0"),
        ("G6", "3-2-0-0-0-0"),
    }


@pytest.mark.parametrize(("said", "way"), [("climbs", 1), ("falls", -1)])
def test_the_top_line_goes_where_the_level_says(tmp_path: Path, said: str, way: int) -> None:
    """Phrases have four bars here, as the sections have."""
    lines = f'contour = "{said}"\nreach = "wide"'
    played = lesson_of(tmp_path, lines).played[0].arrangement
    for first in range(0, 16, 4):
        tops = [s.sounds[-1] for bar in played.bars()[first : first + 4] for s in bar]
        steps = [way * (b - a) for a, b in pairwise(tops)]
        assert min(steps) >= 0 < max(steps)


def test_a_level_climbs_by_its_walks(tmp_path: Path) -> None:
    level = 'moves = ["ascending walk"]\nreach = "wide"\ncontour = "climbs"'
    (played,) = played_on(tmp_path, "heron_landing", "D major", "ukulele", level)
    walked = [step for step in played.added if step.move == "ascending walk"]
    assert walked
    for a, b in pairwise(played.steps):
        if b in walked and a.voicing and b.voicing:
            pairs = zip(a.voicing.midi, b.voicing.midi, strict=True)
            assert all(x is not None and y is not None and y > x for x, y in pairs)


def test_a_level_that_cannot_climb_is_refused_with_its_bar(tmp_path: Path) -> None:
    """Up to fret 2 nothing leads from G6 to A7 and D7 without a fall."""
    fault = fault_of(tmp_path, 'name = "Up"\ncontour = "climbs"\nhighest_fret = 2')
    assert "level 1, 'Up', says contour = 'climbs'" in fault.what and "in bar " in fault.what
    assert "highest_fret = 5" in fault.mend and 'contour = "any"' in fault.mend
