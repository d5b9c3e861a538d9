"""The index of a lesson's folder: what is in it, by whom it is used, and what changed since before.

The folder can be put on any web space as it is: every address is relative, and the index asks for
nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from harmonykit.files.file import slug
from harmonykit.files.manifest import MANIFEST, file_hash
from harmonykit.lesson.page.html import index_page
from harmonykit.lesson.plan.model import FIGURES, Lesson

INDEX = "index.html"
_PAGES = {
    "page.html": "The lesson, to read and to play along",
    "practice.html": "Questions to practise at home, ten a day",
    "cues.html": "Cues that fill the screen and follow the sound",
    "cues.pdf": "Cues to print",
    "script.md": "The script: the lesson plan",
    "parts.pdf": "A part for everyone",
    "handout.pdf": "Handout",
    "comparison.csv": "The levels compared, in numbers",
    "facts.csv": "What is proved",
}
_CLASS, _TEACHER, _SOUND, _SCORES = "For the class", "For the teacher", "To play along", "Scores"
_GROUPS = (_CLASS, _TEACHER, _SOUND, _SCORES)
_SOUNDS = {"mid": "MIDI", "wav": "WAV", "mp3": "MP3"}
_OF_TEACHER = ("cues.html", "cues.pdf", "script.md", "comparison.csv", "facts.csv")
Link = tuple[str, str]


def write_index(
    lesson: Lesson, others: Sequence[Lesson], files: Iterable[str], said: Sequence[str]
) -> str:
    """Return the index of a lesson's folder as a page.

    Parameters
    ----------
    lesson : Lesson
    others : sequence of Lesson
        Those of the other instruments of its class.
    files : iterable of str
        The names of its files.
    said : sequence of str
        What changed since the build before; may be empty.
    """
    front = lesson.front
    names = {played.stem: played.level.name for played in lesson.played}
    grouped: dict[str, list[Link]] = {group: [] for group in _GROUPS}
    instruments = {_slug(one): one.front.instrument.name for one in others}
    for name in sorted(files, key=_order):
        if name.startswith(f"{FIGURES}/") or name in (INDEX, MANIFEST):
            continue
        group, words = _told(name, names, instruments)
        grouped[group].append((name, words))
    about = " · ".join(filter(None, (front.group, front.tune.title, front.instrument.name)))
    groups = [(group, links) for group, links in grouped.items() if links]
    return index_page(front.title, front.subtitle, about, groups, said)


def _slug(lesson: Lesson) -> str:
    return slug(lesson.front.instrument.name) + "-"


def _order(name: str) -> tuple[int, str]:
    ranks = list(_PAGES)
    ending = next((n for n, page in enumerate(ranks) if name.endswith(page)), len(ranks))
    return ending, name


def _told(name: str, levels: Mapping[str, str], instruments: Mapping[str, str]) -> tuple[str, str]:
    """Return the group of a file, and its name in words."""
    prefix = next((each for each in instruments if name.startswith(each)), "")
    whose = f", {instruments[prefix]}" if prefix else ""
    plain = name.removeprefix(prefix)
    if plain in _PAGES:
        group = _TEACHER if plain in _OF_TEACHER else _CLASS
        return group, _PAGES[plain] + whose
    if variant := re.fullmatch(r"handout-(.+)\.pdf", plain):
        return _CLASS, f"Handout, {variant[1].replace('-', ' ')}{whose}"
    stem, _, ending = plain.rpartition(".")
    level = next((each for each in levels if stem.startswith(each)), "")
    words = levels.get(level, stem.replace("-", " ").capitalize())
    more = stem.removeprefix(level).replace("-", " ").strip() if level else ""
    kind = _SOUNDS.get(ending, ending)
    return (
        _SOUND if ending in _SOUNDS else _SCORES,
        ", ".join(filter(None, (words, more, kind))) + whose,
    )


def changes_since(before: Mapping[str, str], folder: Path, files: Iterable[str]) -> Iterator[str]:
    """Yield in words which files are new, changed or gone since the build before; none if none.

    Parameters
    ----------
    before : mapping of str to str
        The files of that build with their hashes; empty where there was none.
    folder : Path
        Where the files of this build are.
    files : iterable of str
    """
    if not before:
        return
    now = set(files) - {INDEX}
    then = set(before) - {INDEX, MANIFEST}
    both = sorted(now & then)
    changed = [name for name in both if before[name] and file_hash(folder / name) != before[name]]
    for what, names in (
        ("changed", changed), ("new", sorted(now - then)), ("gone", sorted(then - now)),
    ):  # fmt: skip
        if names:
            yield f"{what}: {', '.join(names)}"
