"""What ``parts``, ``practice`` and ``results`` do: something for everyone in a class."""

from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from harmonykit.cli.called import as_called
from harmonykit.cli.commands.typed import say
from harmonykit.files import shown
from harmonykit.files.folder import replaced_whole
from harmonykit.files.manifest import write_beside, write_manifest
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.fretboard.strings.instrument import Instrument, as_instrument
from harmonykit.home import class_table, essays, practice
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.playfiles import sound_files
from harmonykit.lesson.together import fitting, pages, stems
from harmonykit.lesson.together.parts import Part, parts_of
from harmonykit.paths import find_data
from harmonykit.practice.theme import Theme
from harmonykit.practice.themes import theme_of, theme_of_idea
from harmonykit.tune.class_file import ClassFile, read_class
from harmonykit.tune.tune import Tune
from harmonykit.words.numbers import counted

BOOK, TITLE_OF_PAGES = "pages", "The workbook to take home"


def write_page(
    lesson: str | None, idea: str | None, instrument: str, questions: int, out: Path
) -> str:
    """Write a page of questions; return what is said of it."""
    if lesson is not None:
        loaded = load_lesson(find_data("lessons", lesson))
        theme, page = theme_of(loaded.front), practice.write_lessons_practice(loaded, questions)
    else:
        theme = theme_of_idea(idea, instrument) if idea else Theme(instrument=instrument)
        page = practice.write_practice(theme, questions)
    write_beside(out, page)
    size = len(page.encode()) / 1e6
    mark = practice.mark_of(practice.title_of(theme))
    return as_called(
        f"{shown(out)}: {size:.1f} MB, one page for your students. Each sends you a code; "
        f'harmonykit results makes a table of the codes, and calls this page "{mark}".'
    )


def write_workbook(folder: Path) -> Iterator[str]:
    """Write the essays and the questions as pages into a folder, whole; yield what is said."""
    made = {}
    with replaced_whole(folder, BOOK) as new:
        for name, text in essays.write_pages():
            (new.path / name).write_text(text, encoding="utf-8")
            made[name] = "home.essays"
            yield f"{name}: {len(text.encode()) / 1e6:.1f} MB"
        write_manifest(new.path, BOOK, {"title": TITLE_OF_PAGES}, made)
    yield f"{shown(folder)}: open index.html"


def results_told(codes: Sequence[str], out: Path | None) -> int:
    """Print the results in codes, and write them where asked; return the exit status."""
    table = class_table.read_codes(codes)
    say(table.told())
    for trouble in table.refused:
        click.echo(trouble, err=True)
    if out is not None and table.results:
        table.write(out)
        click.echo(f"{shown(out)}: {counted(len(table.results), 'row')}")
    return 0 if table.results else 2


KIND, PAGES = "parts", "parts.pdf"
_KEYS = 3


def class_of(path: Path | None) -> ClassFile | None:
    """Return the class of a file, if one was named."""
    return None if path is None else read_class(path)


def instrument_of(name: str | None, knows: ClassFile | None) -> Instrument:
    """Return the instrument that was asked for, else the first of the class, else a ukulele."""
    if name is not None:
        return as_instrument(name)
    return knows.instruments[0] if knows else Instrument.named("ukulele")


def parts_told(tune: Tune, instrument: Instrument, knows: ClassFile | None) -> Iterator[str]:
    """Yield what the class knows of a tune, its rescues, whether the parts fit, and its keys."""
    parts = parts_of(tune, instrument, knows)
    usual = parts[2]
    yield f"{tune.title} on the {instrument.name}{f', for {knows.name}' if knows else ''}"
    if knows is not None:
        yield from _new(usual, tune, knows)
    if usual.rescues:
        pairs = (f"{chord.unicode} {shape.digits}" for chord, shape in usual.rescues.items())
        yield f"rescue: {', '.join(pairs)}"
    yield from fitting.said_fit(parts, tune)
    for key in fitting.key_choices(tune, instrument, knows)[:_KEYS]:
        yield pages.said_key(key, easy=knows is None)


def _new(usual: Part, tune: Tune, knows: ClassFile) -> Iterator[str]:
    shapes = {chord: usual.shapes[chord] for chord in tune.chords}
    fresh = knows.new(shapes.values())
    rows = [
        [pair for pair in shapes.items() if grip_form(pair[1]) == grip_form(shape)]
        for shape in fresh
    ]
    chords = sum(map(len, rows))
    for_more = f", for {chords} of {counted(len(shapes), 'chord')}" if fresh else ""
    yield f"grips new to the class: {len(fresh)}{for_more}"
    for shape, row in zip(fresh, rows, strict=True):
        kin = knows.nearest(shape)
        named = ", ".join(f"{chord.unicode} {own.digits}" for chord, own in row)
        yield f"  {named}{f': {kin.words}' if kin else ''}"


def write(
    tune: Tune, instrument: Instrument, knows: ClassFile | None, folder: Path, *, wav: bool
) -> str:
    """Write the pages and a stem for each part into a folder, whole; return what was written.

    Raises
    ------
    HarmonyError
        If a chord has no grip, or the folder holds something else.
    """
    made = {}
    with replaced_whole(folder, KIND) as new:
        (new.path / PAGES).write_bytes(pages.write_parts(tune, instrument, knows))
        made[PAGES] = "lesson.together.pages"
        for stem, performance in stems.stems_of(tune, instrument, knows):
            words = f"{tune.title}: {stem.replace('-', ' ')}"
            files = sound_files(performance, stem, words, ("mid", "mp3", "wav")[: 3 if wav else 2])
            for each in sorted(files, key=lambda file: file.name):
                with (new.path / each.name).open("wb") as file:
                    each.write(file)
                made[each.name] = "lesson.together.stems"
        about = {"tune": tune.title, "instrument": instrument.name}
        write_manifest(new.path, KIND, about, made)
    return f"{shown(folder)}: {', '.join(made)}"
