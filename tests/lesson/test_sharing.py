"""The index of a folder: whose files come first, and what each row says."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from harmonykit.lesson.build import load_class
from harmonykit.lesson.sharing import write_index


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
