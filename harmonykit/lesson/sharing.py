"""The index of a lesson's folder: what is in it, by whom it is used, and what changed since before.

The folder can be put on any web space as it is: every address is relative, and the index asks for
nothing else.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from harmonykit.files.file import slug
from harmonykit.files.manifest import MANIFEST, file_hash
from harmonykit.lesson.page.html import FileRow, index_page
from harmonykit.lesson.plan.model import FIGURES, Lesson
from harmonykit.lesson.playfiles import practice_stem
from harmonykit.sound.rehearsal_said import said_rehearsal

INDEX = "index.html"
# The page of a lesson, and that for left-handed players.
LESSON_PAGES = ("page.html", "page-left-handed.html")
_PAGES = {
    LESSON_PAGES[0]: "The lesson, to read and to play along",
    LESSON_PAGES[1]: "The lesson with diagrams for left-handed players",
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
# The formats of a row, those first that most people can open.
_KINDS = {"mp3": "MP3", "wav": "WAV", "mid": "MIDI", "musicxml": "MusicXML"}
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
    words = {played.stem: played.level.name for played in lesson.played}
    for played in lesson.played:
        for number, how in enumerate(played.level.practice, start=1):
            words[practice_stem(played, number)] = f"{played.level.name}, {said_rehearsal(how)}"
    words |= {f"handout-{slug(name)}": f"Handout: {name}" for name in front.variants}
    instruments = {"": front.instrument.name} | {_slug(o): o.front.instrument.name for o in others}
    groups: dict[str, dict[str, dict[str, list[Link]]]] = {
        group: {name: {} for name in instruments.values()} for group in _GROUPS
    }
    for name in sorted(files, key=lambda name: _order(name, list(instruments))):
        if name.startswith(f"{FIGURES}/") or name in (INDEX, MANIFEST):
            continue
        prefix = _prefix(name, instruments)
        group, told, kind = _told(name.removeprefix(prefix), words)
        groups[group][instruments[prefix]].setdefault(told, []).append((name, kind))
    about = " · ".join(filter(None, (front.group, front.tune.title, *instruments.values())))
    shown = [(group, list(_parts(of))) for group, of in groups.items() if any(of.values())]
    return index_page(front.title, front.subtitle, about, shown, said)


def _parts(of: Mapping[str, Mapping[str, list[Link]]]) -> Iterator[tuple[str, list[FileRow]]]:
    """Yield what each instrument has of a group; its name where more than one has anything."""
    there = {name: rows for name, rows in of.items() if rows}
    for name, rows in there.items():
        yield name.capitalize() if len(there) > 1 else "", list(rows.items())


def _slug(lesson: Lesson) -> str:
    return slug(lesson.front.instrument.name) + "-"


def _prefix(name: str, instruments: Iterable[str]) -> str:
    return next((each for each in instruments if each and name.startswith(each)), "")


def _order(name: str, instruments: Sequence[str]) -> tuple[int, int, str, int]:
    """Return what files are sorted by: the instrument, what they are, their name, their format."""
    prefix = _prefix(name, instruments)
    plain = name.removeprefix(prefix)
    pages, (stem, _, ending) = list(_PAGES), plain.rpartition(".")
    rank = pages.index(plain) if plain in pages else len(pages)
    kinds = list(_KINDS)
    kind = kinds.index(ending) if ending in kinds else len(kinds)
    return instruments.index(prefix), rank, stem, kind


def _told(name: str, words: Mapping[str, str]) -> tuple[str, str, str]:
    """Return the group of a file, what it is in words, and its format where there may be others."""
    if name in _PAGES:
        return _TEACHER if name in _OF_TEACHER else _CLASS, _PAGES[name], ""
    stem, _, ending = name.rpartition(".")
    if stem in words and stem.startswith("handout-"):
        return _CLASS, words[stem], ""
    level = max((each for each in words if stem.startswith(each)), key=len, default="")
    said = words.get(level, stem.replace("-", " ").capitalize())
    more = stem.removeprefix(level).replace("-", " ").strip() if level else ""
    group = _SCORES if ending == "musicxml" else _SOUND
    return group, ", ".join(filter(None, (said, more))), _KINDS.get(ending, ending)


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
