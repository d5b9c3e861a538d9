"""Several lessons as a course: a folder for each, a contents page, and one handout book.

A course is a TOML file::

    format = 1
    title = "Spring term"
    subtitle = "..."                                     # at choice
    lessons = ["stiff_dominant", "four_dominants"]      # shipped names, or paths beside this file
    class_file = "thursday.toml"                         # at choice: what the class knows before

Beside the lessons stand ``term.md``, the plan of the term, and ``class.toml``, what the class knows
at its end.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from harmonykit.errors import HarmonyError, Place
from harmonykit.files.file import slug
from harmonykit.files.folder import replaced_whole
from harmonykit.files.manifest import MANIFEST, Carried, write_manifest
from harmonykit.files.toml import read_toml_file
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.lesson import script, write
from harmonykit.lesson.arranging import Told, play_level
from harmonykit.lesson.build import Play, load_class, run
from harmonykit.lesson.handout.pdf import gather_book
from harmonykit.lesson.page.html import contents_page
from harmonykit.lesson.plan.model import Lesson, LessonError
from harmonykit.lesson.plan.sizes import check_arranged, check_book, check_sound
from harmonykit.lesson.term import known_after, weeks_of, write_class, write_term
from harmonykit.paths import find_data
from harmonykit.tune.class_file import ClassFile, read_class
from harmonykit.values import dataclass

FORMAT, KIND = 1, "course"
MOST_LESSONS = 60
INDEX, BOOK, TERM, CLASS = "index.html", "book.pdf", "term.md", "class.toml"
_KEYS = {"format": int, "title": str, "subtitle": str, "lessons": list, "class_file": str}


@dataclass(frozen=True, slots=True)
class Course:
    """A course as its file has it: title, subtitle, paths of its lessons in order, its class."""

    title: str
    subtitle: str
    lessons: tuple[Path, ...]
    knows: ClassFile | None = None


def read_course(path: Path) -> Course:
    """Read a course's file.

    Raises
    ------
    HarmonyError
        With file, line and column.
    """
    values, places = read_toml_file(path, "the course", LessonError)
    for key, value in values.items():
        if key not in _KEYS or not isinstance(value, _KEYS[key]):
            place = places.key(("", 0, key))
            raise LessonError(f"{key} is {value!r}", place=place, rule=f"keys: {', '.join(_KEYS)}")
    names = values.get("lessons", [])
    if values.get("format") != FORMAT or not 1 <= len(names) <= MOST_LESSONS:
        raise LessonError(
            f"{path.name} is not a course",
            place=Place(path.name),
            rule=f"it has format = {FORMAT}, a title, and 1 to {MOST_LESSONS} lessons",
            mend="the lines that harmonykit course --help shows",
        )
    place = places.key(("", 0, "lessons"))
    found = tuple(_lesson_path(path, str(name), place) for name in names)
    knows = _class_of(path, values["class_file"], places) if "class_file" in values else None
    return Course(values.get("title", path.stem), values.get("subtitle", ""), found, knows)


def _class_of(course: Path, name: str, places: TomlPlaces) -> ClassFile:
    beside = course.parent / name
    if not beside.is_file():
        raise LessonError(
            f"class_file = {name!r}: missing beside {course.name}",
            place=places.key(("", 0, "class_file")),
            mend="harmonykit parts --example prints one",
        )
    return read_class(beside)


def _lesson_path(course: Path, name: str, place: Place) -> Path:
    beside = course.parent / name
    try:
        return beside if beside.is_file() else find_data("lessons", name)
    except HarmonyError as error:
        raise error.at(place) from None


def build_course(
    path: Path,
    out: Path,
    *,
    progress: bool | Told = False,
    kept: Callable[[Carried], object] | None = None,
    play: Play = play_level,
) -> Path:
    """Build all lessons of a course into one folder, whole or not at all.

    Parameters
    ----------
    path : Path
        A file that names a title and lessons.
    out : Path
        The folder; it appears whole or not at all.
    progress : bool or callable, optional
        Whether to show a bar on standard error; or what is told how many are done, and of how
        many.
    kept : callable, optional
        Told of each file of the user's that was kept in the folder.
    play : callable, optional
        Plays a level, given a header and the level's place in it.

    Returns
    -------
    Path
        The folder: ``index.html``, ``book.pdf``, ``term.md``, ``class.toml``, and a folder for each
        lesson.

    Raises
    ------
    HarmonyError
        If the course or one of its lessons cannot be used; an older folder is left as it was.
    """
    course = read_course(path)
    with replaced_whole(out, KIND) as new:
        folder = new.path
        classes = [load_class(lesson, play=play) for lesson in course.lessons]
        own = [lessons[0] for lessons in classes]
        check_book(own)
        for lessons in classes:
            check_arranged(lessons)
            check_sound(lessons)
        names = [_folder_name(number, lesson) for number, lesson in enumerate(own, 1)]
        writers = [
            write.Writer(lessons[0], folder / name, lessons[1:])
            for lessons, name in zip(classes, names, strict=True)
        ]
        tasks = [task for writer in writers for task in writer.tasks()]
        sounds = [sound for writer in writers for sound in writer.sounds()]
        settings = [setting for writer in writers for setting in writer.settings()]
        book: write.Setting = (
            "book",
            partial(gather_book, own, title=course.title),
            (folder / BOOK).write_bytes,
        )
        run(tasks, sounds, [*settings, book], progress=progress)
        for writer, name in zip(writers, names, strict=True):
            writer.index(out / name)
            writer.manifest()
        _finish(folder, course, own, names, path.parent)
        made = dict.fromkeys((INDEX, BOOK), "lesson.course")
        made |= dict.fromkeys((TERM, CLASS), "lesson.term")
        for writer, name in zip(writers, names, strict=True):
            made |= {f"{name}/{file}": made_by for file, made_by in writer.made.items()}
            made[f"{name}/{MANIFEST}"] = "lesson.write"
        write_manifest(folder, KIND, {"course": course.title, "lessons": names}, made)
    if kept is not None:
        for each in new.carried:
            kept(each)
    return out


def _folder_name(number: int, lesson: Lesson) -> str:
    return f"{number:02d}-{slug(lesson.front.title)}"


def _finish(
    folder: Path, course: Course, lessons: list[Lesson], names: list[str], home: Path
) -> None:
    """Write the contents page, the plan of the term and what the class knows after it."""
    rows = [
        (f"{name}/page.html", lesson.front.title, lesson.front.subtitle, _about(lesson))
        for name, lesson in zip(names, lessons, strict=True)
    ]
    more = ((TERM, "The term plan"), (CLASS, "What the class knows at the end of term"))
    page = contents_page(course.title, course.subtitle, rows, BOOK, more)
    (folder / INDEX).write_text(page, encoding="utf-8", newline="\n")
    knows = course.knows or lessons[0].front.knows
    term = write_term(course.title, lessons, knows, home)
    (folder / TERM).write_text(term, encoding="utf-8", newline="\n")
    after = write_class(known_after(weeks_of(lessons), knows))
    (folder / CLASS).write_text(after, encoding="utf-8", newline="\n")


def _about(lesson: Lesson) -> str:
    front = lesson.front
    return f"{front.tune.title} · tuned {front.instrument.tuning_said} · {script.length_of(lesson)}"
