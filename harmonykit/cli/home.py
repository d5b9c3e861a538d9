"""What ``harmonykit practice`` and ``harmonykit results`` do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from harmonykit.files import shown
from harmonykit.files.folder import replaced_whole
from harmonykit.files.manifest import write_beside, write_manifest
from harmonykit.home.class_table import read_codes
from harmonykit.home.essays import write_pages
from harmonykit.home.practice import mark_of, title_of, write_lessons_practice, write_practice
from harmonykit.lesson.build import load_lesson
from harmonykit.paths import find_data
from harmonykit.practice.theme import Theme
from harmonykit.practice.themes import theme_of, theme_of_idea

KIND, TITLE_OF_PAGES = "pages", "The workbook to take home"


def write_page(
    lesson: str | None, idea: str | None, instrument: str, questions: int, out: Path
) -> str:
    """Write a page of questions; return what is said of it."""
    if lesson is not None:
        loaded = load_lesson(find_data("lessons", lesson))
        theme, page = theme_of(loaded.front), write_lessons_practice(loaded, questions)
    else:
        theme = theme_of_idea(idea, instrument) if idea else Theme(instrument=instrument)
        page = write_practice(theme, questions)
    write_beside(out, page)
    size = len(page.encode()) / 1e6
    mark = mark_of(title_of(theme))
    return f"{shown(out)}: {size:.1f} MB; in a table of results it is page {mark}"


def write_workbook(folder: Path) -> Iterator[str]:
    """Write the essays and the questions as pages into a folder, whole; yield what is said."""
    made = {}
    with replaced_whole(folder, KIND) as new:
        for name, text in write_pages():
            (new.path / name).write_text(text, encoding="utf-8")
            made[name] = "home.essays"
            yield f"{name}: {len(text.encode()) / 1e6:.1f} MB"
        write_manifest(new.path, KIND, {"title": TITLE_OF_PAGES}, made)
    yield f"{shown(folder)}: open index.html"


def told(codes: Sequence[str], out: Path | None) -> int:
    """Print the results in codes, and write them where asked; return the exit status."""
    table = read_codes(codes)
    for line in table.told():
        click.echo(line)
    for trouble in table.refused:
        click.echo(trouble, err=True)
    if out is not None and table.results:
        table.write(out)
        click.echo(f"{shown(out)}: {len(table.results)} rows")
    return 0 if table.results else 2
