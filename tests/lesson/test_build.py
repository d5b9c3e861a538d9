"""The whole build: every file is there, is right, and agrees with the others."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import mido
import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import build_lesson, build_loaded, load_class, load_lesson, play_level
from harmonykit.lesson.handout.pdf import handout_data
from harmonykit.lesson.level_checks import misplaced
from harmonykit.lesson.plan.model import Front, Played, cautions_of
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord

STEM = "level-1-leading"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Path:
    folder = tmp_path_factory.mktemp("lesson")
    return build_lesson(write_lesson(folder), folder / "out")


def test_every_file_is_there_and_in_the_manifest(built: Path) -> None:
    manifest = json.loads((built / "manifest.json").read_text(encoding="utf-8"))
    found = {p.relative_to(built).as_posix() for p in built.rglob("*") if p.is_file()}
    assert found == {*manifest["files"], "manifest.json"}
    wanted = {"script.md", "cues.pdf", "page.html", "handout.pdf", "comparison.csv", "facts.csv"}
    wanted |= {f"{STEM}.musicxml", f"{STEM}.mid", f"{STEM}.mp3"}
    assert wanted <= found
    for name, entry in manifest["files"].items():
        assert find_spec(f"harmonykit.{entry['made_by']}"), name
        assert hashlib.sha256((built / name).read_bytes()).hexdigest() == entry["sha256"]


def test_the_same_bytes_twice(built: Path) -> None:
    again = build_lesson(built.parent / "small.md", built.parent / "again")
    for path in built.rglob("*"):
        if path.is_file():
            assert path.read_bytes() == (again / path.relative_to(built)).read_bytes(), path.name


def test_the_script_holds_the_changes_and_the_facts(built: Path) -> None:
    script = (built / "script.md").read_text(encoding="utf-8")
    # By hand: Bb7 of bar 2 falls a fifth to Eb6, so its second half is Ddim7 (Bb7b9 without Bb).
    pair = re.search(r"B♭7 ([\d-]+) ; \*\*D°7 ([\d-]+)\*\* \(3\)", script)
    assert pair is not None
    # Bb D F Ab and D F Ab Cb, as pitch classes on g C E A.
    assert [heard(digits) for digits in pair.groups()] == [{10, 2, 5, 8}, {2, 5, 8, 11}]
    assert "Lower any one note of any diminished seventh" in script
    rows = list(csv.reader(io.StringIO((built / "facts.csv").read_text(encoding="utf-8"))))
    assert rows[0] == ["line", "instrument", "statement", "proved", "proved by", "note"]
    # Two sentences of the text: one of its author, one that was proved.
    assert [(row[0], row[3], bool(row[4]), row[5]) for row in rows[1:]] == [
        ("21", "no", False, ""), ("23", "yes", True, ""),
    ]  # fmt: skip
    assert "Of two sentences one is proved; each has a †" in script


def heard(digits: str) -> set[int]:
    return {(s + int(f)) % 12 for s, f in zip((67, 60, 64, 69), digits.split("-"), strict=True)}


def samples(path: Path) -> tuple[int, NDArray[np.float64]]:
    both, rate = soundfile.read(path)
    return rate, both.mean(axis=1)


def test_the_sound_is_as_long_as_the_performance_and_does_not_clip(built: Path) -> None:
    rate, sound = samples(built / f"{STEM}.mp3")
    (played,) = load_lesson(built.parent / "small.md").played
    assert abs(len(sound) / rate - played.performance.seconds) < 0.01
    peak = float(np.abs(sound).max())
    assert 0.3 < peak < 0.99
    loud = np.abs(sound) > 0.001
    assert loud.mean() > 0.5


def strength(sound: NDArray[np.float64], rate: int, frequency: float) -> float:
    """Return the largest magnitude of the spectrum within a quarter tone of a frequency."""
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    places = np.fft.rfftfreq(len(sound), 1 / rate)
    near = np.abs(np.log2(np.maximum(places, 1e-9) / frequency)) < 1 / 24
    return float(spectrum[near].max())


def test_the_sound_has_the_pitches_of_the_shapes(built: Path) -> None:
    """Each bar's first chord is heard at its four pitches, 440 * 2^((m - 69) / 12) Hz."""
    rate, sound = samples(built / f"{STEM}.mp3")
    (played,) = load_lesson(built.parent / "small.md").played
    onsets = dict(played.performance.steps)
    for index, step in enumerate(played.arrangement.steps):
        assert step.voicing is not None
        start = int((onsets[index] + 0.06) * rate)
        window = sound[start : start + int(0.4 * rate)]
        for midi in step.voicing.sounding:
            here = strength(window, rate, 440 * 2 ** ((midi - 69) / 12))
            neighbours = [n for n in (midi - 1, midi + 1) if n not in step.voicing.sounding]
            for other in neighbours:
                away = strength(window, rate, 440 * 2 ** ((other - 69) / 12))
                assert here > 1.5 * away, (step.chord, midi, other)


def test_midi_plays_the_events_of_the_performance(built: Path) -> None:
    import mido

    (played,) = load_lesson(built.parent / "small.md").played
    file = mido.MidiFile(str(built / f"{STEM}.mid"))
    now, heard = 0.0, []
    for message in file:
        now += message.time
        if message.type == "note_on" and message.velocity > 0 and message.channel != 9:
            heard.append((now, message.note))
    events = [(e.onset, e.midi) for e in played.performance.events if e.kind == "tone"]
    assert len(heard) == len(events)
    for midi in {midi for _, midi in events}:
        there = sorted(at for at, note in heard if note == midi)
        here = sorted(onset for onset, note in events if note == midi)
        assert there == pytest.approx(here, abs=0.002)
    tempi = [m.tempo for track in file.tracks for m in track if m.type == "set_tempo"]
    assert tempi == [500000]  # 120 quarter notes a minute: FF 51 03 07 A1 20 (RP-001)


def test_the_score_holds_the_chords_of_the_arrangement(built: Path) -> None:
    """Roots and notes by music21's reader, chords and places by our own."""
    from music21 import converter, harmony

    path = built / f"{STEM}.musicxml"
    (played,) = load_lesson(built.parent / "small.md").played
    steps = [step for step in played.arrangement.steps if step.chord is not None]
    score = converter.parseData(path.read_text(encoding="utf-8"), format="musicxml")
    found = list(score.recurse().getElementsByClass(harmony.Harmony))
    assert [h.root().pitchClass for h in found] == [s.chord.root.pitch_class for s in steps]
    sounds = [c for c in score.recurse().getElementsByClass("Chord") if c not in found]
    assert [sorted(p.midi for p in c.pitches) for c in sounds] == [list(s.sounds) for s in steps]
    changes = [(c.chord, c.onset) for c in read_tune(path).changes]
    assert changes == [(step.chord, step.onset) for step in steps]


def test_the_comparison_counts_what_was_inserted(built: Path) -> None:
    (row,) = csv.DictReader(io.StringIO((built / "comparison.csv").read_text(encoding="utf-8")))
    (played,) = load_lesson(built.parent / "small.md").played
    inserted = [step for step in played.arrangement.steps if step.move]
    assert float(row["added (chords)"]) == len(inserted) > 0
    assert float(row["changes (count)"]) == sum(
        a.chord != b.chord
        for a, b in zip(played.arrangement.steps, played.arrangement.steps[1:], strict=False)
    )


def test_every_inserted_chord_of_the_four_bars_is_right(lesson_path: Path) -> None:
    """Checked by hand against the rules of placing (common practice, no source).

    Gm6 | Bb7 | Eb6 D7 | Gm6: before Bb7 its chord a semitone below, Adim7; the second half of Bb7
    is Ddim7, before Eb6 a fifth below; C#dim7 before D7 takes the last of Eb6's two beats; the last
    of D7's two is F#dim7, before Gm6; nothing on the final chord.
    """
    (played,) = load_lesson(lesson_path).played
    found = [(s.bar + 1, float(s.onset % 4), s.chord) for s in played.arrangement.added]
    names = ((1, 2.0, "Adim7"), (2, 2.0, "Ddim7"), (3, 1.0, "C#dim7"), (3, 3.0, "F#dim7"))
    assert found == [(bar, at, Chord.parse(name)) for bar, at, name in names]


def test_cautions_and_rights_stand_in_script_and_page(tmp_path: Path) -> None:
    shipped = Path(find_data("lessons", "stiff_dominant")).read_text(encoding="utf-8")
    path = tmp_path / "lesson.md"
    few = shipped.replace("\n[[levels]]", '\noutputs = ["script", "page"]\n\n[[levels]]', 1)
    path.write_text(few, encoding="utf-8")
    out = build_lesson(path, tmp_path / "out")
    found = cautions_of(load_lesson(path))
    script, page = ((out / name).read_text("utf-8") for name in ("script.md", "page.html"))
    assert found
    for shapes, said in found:
        assert f"- {shapes} {said}" in script
        assert f"<b>{shapes}</b> {said}" in page
    assert "may need permission before they are published" in script
    assert "may need permission before they are published" in page


def test_a_mixed_class_gets_a_sheet_and_scores_each(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('shape = "4545"\n', 'also = ["guitar", "ukulele"]\n')
    text = text.replace('shape("4545")', "shape()").replace('notes("4545")', "notes()")
    text = text.replace('group = "Quay"', 'outputs = ["handout", "scores"]')
    lesson_path.write_text(text.replace('from = "0201"\n', ""), encoding="utf-8")
    out = build_lesson(lesson_path, lesson_path.parent / "out")
    names = {path.name for path in out.iterdir()}
    assert {"handout.pdf", "guitar-handout.pdf", f"guitar-{STEM}.musicxml"} <= names
    assert not {name for name in names if name.startswith("ukulele-")}
    assert json.loads((out / "manifest.json").read_text())["instruments"] == ["ukulele", "guitar"]
    guitar = read_tune(out / f"guitar-{STEM}.musicxml")
    assert [c.chord for c in guitar.changes] == [
        c.chord for c in read_tune(out / f"{STEM}.musicxml").changes
    ]


def test_each_of_a_mixed_class_plays_along_on_its_own_strings(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('shape("4545")', "shape()").replace('notes("4545")', "notes()")
    text = text.replace('shape = "4545"\n', 'also = ["guitar"]\n').replace('from = "0201"\n', "")
    text = text.replace('group = "Quay"', 'outputs = ["page", "sound"]')
    sound = '[sound]\nfiles = ["mid", "tuning"]\n\n[[levels]]'
    lesson_path.write_text(text.replace("[[levels]]", sound), encoding="utf-8")
    out = build_lesson(lesson_path, lesson_path.parent / "out")
    # The open strings bound what is heard: G4 C4 E4 A4, and E2 A2 D3 G3 B3 E4 (Carcassi 1836).
    assert lowest_note(out / f"{STEM}.mid") >= 60 > lowest_note(out / f"guitar-{STEM}.mid") >= 40
    titles = {soundfile.SoundFile(out / f"{name}tuning.mp3").title for name in ("", "guitar-")}
    assert titles == {"Tuning: g C E A", "Tuning: E A D G B E"}
    for name, strings in (("page.html", "g C E A"), ("guitar-page.html", "E A D G B E")):
        said = (out / name).read_text("utf-8").replace("\N{NO-BREAK SPACE}", " ")
        name = "guitar" if name.startswith("guitar") else "ukulele"
        assert f"{name} · tuned {strings}" in said


def lowest_note(path: Path) -> int:
    notes = (m for track in mido.MidiFile(path).tracks for m in track if m.type == "note_on")
    return min(m.note for m in notes if m.channel != 9)


def test_variants_and_sounds_on_request(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('group = "Quay"', 'outputs = ["handout", "sound"]')
    more = 'variants = ["large print", "left-handed", "one ink"]\n[sound]\nfiles = ["mp3"]\n'
    lesson_path.write_text(text.replace("\n[[levels]]", more + "\n[[levels]]"), encoding="utf-8")
    out = build_lesson(lesson_path, lesson_path.parent / "out")
    names = {path.name for path in out.iterdir()}
    sheets = {f"handout-{word}.pdf" for word in ("large-print", "left-handed", "one-ink")}
    assert {"handout.pdf", f"{STEM}.mp3", *sheets} <= names
    assert f"{STEM}.mid" not in names
    assert len({(out / name).read_bytes() for name in ("handout.pdf", *sheets)}) == 4


def test_a_sheet_for_the_left_hand_brings_a_page_for_it(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('group = "Quay"', 'outputs = ["page"]\nvariants = ["one ink, left-handed"]')
    more = '{{ lowered_diagrams() }}\n\n{{ neck() }}\n\n{{ diagram("0003", "C") }}\n\n## The tune'
    lesson_path.write_text(text.replace("## The tune", more), encoding="utf-8")
    out = build_lesson(lesson_path, lesson_path.parent / "out")
    right, left = (
        (out / f"page{hand}.html").read_text(encoding="utf-8") for hand in ("", "-left-handed")
    )
    assert 'href="page-left-handed.html">Diagrams for left-handed players' in right
    assert 'href="page.html">Diagrams for right-handed players' in left
    assert 'href="page-left-handed.html"' in (out / "index.html").read_text(encoding="utf-8")
    # Each of the four lowered shapes, the neck, and the shape by itself says so.
    figures = 4 + 1 + 1
    assert "drawn for the left hand" not in right
    assert left.count("drawn for the left hand") == figures


def test_an_instrument_strung_for_the_left_hand_has_pages_for_it_alone(lesson_path: Path) -> None:
    """An instrument of one's own may say ``left_handed = true``: sheet and page follow it."""
    lesson = load_lesson(lesson_path)
    turned = lesson.front.instrument.for_left_hand()
    data = [
        handout_data(replace(lesson, front=replace(lesson.front, instrument=instrument)))
        for instrument in (lesson.front.instrument, turned)
    ]
    assert ["left-handed" in one["lessons"][0]["hand"] for one in data] == [False, True]
    alts = [
        sum("drawn for the left hand" in each["alt"] for each in one["figures"]) for one in data
    ]
    assert alts[0] == 0 and alts[1] > 0


def test_only_what_is_asked_for_is_made(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(text.replace('group = "Quay"', 'outputs = ["script"]'), encoding="utf-8")
    out = build_lesson(lesson_path, lesson_path.parent / "out")
    names = {path.name for path in out.iterdir() if path.is_file()}
    assert names == {"script.md", "cues.pdf", "comparison.csv", "facts.csv", "manifest.json"}


def test_a_false_statement_stops_the_build_and_leaves_the_old_folder(lesson_path: Path) -> None:
    out = lesson_path.parent / "out"
    build_lesson(lesson_path, out)
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(
        text.replace('{{ always("lowering") }}', '{{ resolves_to("Adim7", "C") }}'),
        encoding="utf-8",
    )
    with pytest.raises(HarmonyError, match="does not resolve to C") as caught:
        build_lesson(lesson_path, out)
    assert caught.value.place is not None and caught.value.place.line == 23
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before
    assert sorted(p.name for p in out.parent.iterdir()) == ["fog.toml", "out", "small.md"]


def test_a_build_tells_its_progress_and_can_be_stopped_by_it(lesson_path: Path) -> None:
    out = lesson_path.parent / "out"
    told: list[tuple[int, int]] = []
    build_lesson(lesson_path, out, progress=lambda done, total: told.append((done, total)))
    total = told[0][1]
    assert total > 5 and told == [(done, total) for done in range(total + 1)]
    before = (out / "manifest.json").stat().st_mtime_ns

    class Enough(Exception):
        pass

    def stop(done: int, total: int) -> None:
        if done == 3:
            raise Enough

    with pytest.raises(Enough):
        build_lesson(lesson_path, out, progress=stop)
    assert (out / "manifest.json").stat().st_mtime_ns == before
    assert {path.name for path in lesson_path.parent.iterdir()} == {"fog.toml", "small.md", "out"}


def test_levels_may_be_played_by_one_who_remembers(lesson_path: Path, tmp_path: Path) -> None:
    asked: list[tuple[str, int]] = []

    def remember(front: Front, index: int) -> Played:
        asked.append((front.title, index))
        return play_level(front, index)

    text = lesson_path.read_text(encoding="utf-8")
    few = text.replace('group = "Quay"', 'outputs = ["page", "script"]')
    lesson_path.write_text(few, encoding="utf-8")
    out = build_loaded(lambda: load_class(lesson_path, play=remember), tmp_path / "out")
    assert asked == [("A small lesson", 0)]
    plain = build_lesson(lesson_path, tmp_path / "plain")
    names = sorted(p.name for p in plain.iterdir())
    assert names == sorted(p.name for p in out.iterdir())
    assert (out / "page.html").read_bytes() == (plain / "page.html").read_bytes()


def test_the_index_links_every_file_and_says_what_changed(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    outputs = 'outputs = ["script", "page", "scores"]\n'
    lesson_path.write_text(text.replace("[[levels]]", outputs + "\n[[levels]]", 1), "utf-8")
    out, told = lesson_path.parent / "out", list[str]()
    build_lesson(lesson_path, out)
    first = (out / "index.html").read_text("utf-8")
    files = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    links = re.findall(r'href="([^"]+)"', first)
    assert set(links) == {f for f in files if not f.startswith("figures/")} - {
        "index.html", "manifest.json",
    }  # fmt: skip
    assert "Since the last build" not in first and "://" not in " ".join(links)
    build_lesson(lesson_path, out, noted=told.append)
    assert (out / "index.html").read_text("utf-8") == first and told == []
    lesson_path.write_text(
        lesson_path.read_text("utf-8").replace("## The tune", "## Tune", 1), "utf-8"
    )
    build_lesson(lesson_path, out, noted=told.append)
    assert told == ["changed: page.html, script.md"]
    assert "changed: page.html, script.md" in (out / "index.html").read_text("utf-8")


def test_progress_is_shown_where_a_terminal_says_no_size() -> None:
    """A terminal that was opened without a size has no columns and no rows."""
    main, end = os.openpty()
    os.set_blocking(main, False)
    code = (
        "from harmonykit.lesson.build import shown\n"
        "list(shown([('one', int), ('two', int)], progress=True))"
    )
    env = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
    quiet = subprocess.DEVNULL
    subprocess.run([sys.executable, "-c", code], stderr=end, stdout=quiet, env=env, check=True)
    assert b"0/2" in os.read(main, 10_000)
    os.close(end)
    os.close(main)


def test_a_level_that_was_added_by_hand_leaves_no_section_to_another_unsaid(
    lesson_path: Path,
) -> None:
    """It takes the number of the next level: the calls of that one show it instead."""
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace("## The tune", "## Leading")
    lesson_path.write_text(text, encoding="utf-8")
    assert list(misplaced(load_lesson(lesson_path))) == []
    alone = text.replace("## Leading", "## The tune")
    added = '[[levels]]\nname = "By heart"\nmoves = []\n\n[[levels]]'
    lesson_path.write_text(text.replace("[[levels]]", added, 1), encoding="utf-8")
    assert list(misplaced(load_lesson(lesson_path))) == [
        'section "Leading" shows level 1, "By heart": its own is level 2, so type 2 in its calls, '
        "as in {{ chart(2) }}",
    ]
    lesson_path.write_text(alone.replace("[[levels]]", added, 1), encoding="utf-8")
    assert list(misplaced(load_lesson(lesson_path))) == [
        'level 2, "Leading", has no chart in the text: write a section with {{ chart(2) }}'
    ]
