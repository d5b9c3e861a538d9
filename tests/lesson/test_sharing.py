"""The index of a folder: whose files come first, and what each row says."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from harmonykit.files.manifest import file_hash
from harmonykit.lesson.build import load_class
from harmonykit.lesson.playfiles import practice_stem
from harmonykit.lesson.sharing import changes_since, write_index
from harmonykit.sound.rehearsal import Rehearsal


def test_files_are_listed_by_instrument_with_their_formats_beside_them(lesson_path: Path) -> None:
    lesson, other = load_class(lesson_path, instruments=("ukulele", "baritone ukulele"))
    lesson = replace(lesson, front=replace(lesson.front, variants=("large print, left-handed",)))
    stem = lesson.played[0].stem
    own = [
        "page.html", "handout.pdf", "handout-large-print-left-handed.pdf", f"{stem}.mid",
        f"{stem}.mp3", f"{stem}.musicxml",
    ]  # fmt: skip
    files = [f"baritone-ukulele-{name}" for name in own] + own + ["script.md", "figures/one.svg"]
    page = write_index(lesson, [other], files, [])
    links = re.findall(r'href="([^"]+)"', page)
    assert sorted(links) == sorted(set(files) - {"figures/one.svg"})
    assert re.findall(r"<h3>(.*?)</h3>", page) == 3 * ["Ukulele", "Baritone ukulele"]
    plain = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page))
    level = lesson.played[0].level.name
    assert plain.count("Handout: large print, left-handed") == 2
    # What most people can open comes first.
    assert plain.count(f"{level} : MP3 · MIDI") + plain.count(f"{level}: MP3 · MIDI") == 2
    assert plain.count(f"{level}: MusicXML") == 2


def test_a_line_of_practice_is_told_in_words(lesson_path: Path) -> None:
    """Not as its file is called: ``practice-1-bars-1-2-tempi-60-80-call-and-answer``."""
    (lesson,) = load_class(lesson_path)
    first = lesson.played[0]
    how = Rehearsal.parse("bars 1-2, tempi 60-80, call and answer")
    played = replace(first, level=replace(first.level, practice=(how,)))
    lesson = replace(lesson, played=(played, *lesson.played[1:]))
    page = write_index(lesson, [], [f"{practice_stem(played, 1)}.mp3", f"{first.stem}.mp3"], [])
    plain = " ".join(re.sub("<[^>]+>", " ", page).split())
    said = "bars 1 and 2, at 60, 70 and 80 per cent of the tempo, call and answer"
    assert f"{first.level.name}, {said}" in plain and "practice 1" not in plain


def rows_of(page: str) -> list[tuple[str, str]]:
    """Return each link of an index with the row that it stands in, without its marks."""
    found = []
    for row in re.split(r"(?=<li|<tr|<dt)", page):
        told = " ".join(re.sub("<[^>]+>", " ", row).split())
        found += [(link, told) for link in re.findall(r'href="([^"]+)"', row)]
    return found


def test_what_each_file_is_and_who_uses_it(lesson_path: Path) -> None:
    (lesson,) = load_class(lesson_path, instruments=("ukulele",))
    stem = lesson.played[0].stem
    files = [
        "facts.csv", "script.md", "page.html", "cues.pdf", "practice.html", "handout.pdf",
        "parts.pdf", "comparison.csv", "cues.html", f"{stem}-slow-bass.wav",
        f"{stem}-slow-bass.mp3", "tuning.mp3", f"{stem}.musicxml", "part-1-one-finger.mp3",
        "index.html", "manifest.json",
    ]  # fmt: skip
    page = write_index(lesson, [], files, ["new: page.html"])
    groups = re.split(r"<h2[^>]*>", page)[1:]
    told = {part.partition("</h2>")[0]: re.findall(r'href="([^"]+)"', part) for part in groups}
    lists = {name: links for name, links in told.items() if links}
    assert lists == {
        "For the class": ["page.html", "practice.html", "parts.pdf", "handout.pdf"],
        "For the teacher": ["cues.html", "cues.pdf", "script.md", "comparison.csv", "facts.csv"],
        # The levels and the parts by name, each with what most people can open first.
        "To play along": [f"{stem}-slow-bass.mp3", f"{stem}-slow-bass.wav",
                          "part-1-one-finger.mp3", "tuning.mp3"],
        "Scores": [f"{stem}.musicxml"],
    }  # fmt: skip
    plain = " ".join(re.sub("<[^>]+>", " ", page).split())
    assert "Questions to practise at home, ten a day" in plain and "new: page.html" in plain
    assert f"{lesson.played[0].level.name}, slow bass" in plain
    assert "Part 1 one finger" in plain and "Tuning" in plain
    # One instrument is not named over its files.
    assert "<h3>" not in page


def test_what_changed_since_a_build_before_is_told_in_words(tmp_path: Path) -> None:
    for name in ("page.html", "script.md", "new.mp3", "index.html", "own.txt"):
        (tmp_path / name).write_text(name, encoding="utf-8")
    now = ["page.html", "script.md", "new.mp3", "index.html", "own.txt"]
    same = {name: file_hash(tmp_path / name) for name in now}
    assert list(changes_since({}, tmp_path, now)) == []
    assert list(changes_since(same, tmp_path, now)) == []
    before = {
        "page.html": "0" * 64, "script.md": same["script.md"], "gone.mid": "1" * 64,
        # What a build left without a hash may be anybody's; index and manifest change always.
        "own.txt": "", "index.html": "2" * 64, "manifest.json": "3" * 64,
    }  # fmt: skip
    assert list(changes_since(before, tmp_path, now)) == [
        "changed: page.html", "new: new.mp3", "gone: gone.mid",
    ]  # fmt: skip
