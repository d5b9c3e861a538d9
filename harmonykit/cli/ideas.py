"""What ``harmonykit ideas`` prints: findings with proof, near miss, shapes and places."""

import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

from harmonykit.about.text import WIDTH
from harmonykit.errors import HarmonyError
from harmonykit.files import shown
from harmonykit.files.file import typed
from harmonykit.files.toml import read_toml_file
from harmonykit.ideas.finder import discover
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.plan.idea import every_idea, key_lines
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.class_file import read_class
from harmonykit.tune.tune import Tune

_MOST_SPOTS = 3


def lines_of(
    source: str, instrument: str, tunes: Sequence[str], most: int, class_file: str = ""
) -> Iterator[str]:
    """Yield the ideas about a source, numbered, the most useful first.

    Parameters
    ----------
    source : str
        A chord, a kind, a scale, notes, a shape, or a tune.
    instrument : str
    tunes : sequence of str
        Where ideas should stand: paths, shipped names, or chords between bar lines.
    most : int
        How many ideas.
    class_file : str
        A class file, whose grips are not new; where empty, the open shapes are known.
    """
    read = [_tune(each) for each in tunes]
    knows = read_class(class_file) if class_file else None
    found = discover(_source(source), instrument, read, knows)
    for place, finding in enumerate(found[:most], 1):
        yield from _told(place, finding)
    if len(found) > most:
        yield f"{len(found) - most} more: --most {len(found)}"


def shipped_ideas() -> Iterator[str]:
    """Yield every idea that ships: its name, and what the class finds out."""
    for idea in every_idea():
        yield from _wrapped(f"{idea.name:24} ", idea.question, 25)
    yield ""
    yield "harmonykit lesson --new TUNE --idea NAME drafts a lesson about one of them."


def keys_of_ideas() -> Iterator[str]:
    """Yield every key of an idea file."""
    yield from key_lines()


def _tune(asked: str) -> Tune:
    return Tune.parse(asked) if "|" in asked else read_tune(find_data("tunes", asked))


def _source(asked: str) -> str | Tune:
    """Return a tune where one is meant: bar lines, a name that ships, or a file."""
    if "|" in asked:
        return Tune.parse(asked)
    try:
        path = find_data("tunes", asked)
    except HarmonyError:
        return asked
    try:
        return read_tune(path)
    except HarmonyError:
        if not _is_an_idea(path):
            raise
        raise HarmonyError(
            f"{shown(path)} is an idea, and ideas are found about a chord, a scale or a tune",
            rule="an idea is what a draft is about",
            mend=f"harmonykit lesson draft.md --new TUNE --idea {typed(path)}",
        ) from None


def _is_an_idea(path: Path) -> bool:
    try:
        values, _ = read_toml_file(path, "the idea")
    except HarmonyError:
        return False
    return "question" in values


def _told(place: int, finding: Finding) -> Iterator[str]:
    yield from _wrapped(f"{place}. ", finding.statement, 3)
    yield from _fact("proof", finding.proof)
    yield from _fact("not so", finding.near_miss)
    if finding.ease.shapes:
        yield from _fact("play", ", ".join(finding.ease.shapes))
    yield from _fact("hear", finding.hearing.said)
    yield from _fact("where", _where(finding))
    if finding.rarity:
        yield from _fact("rare", f"true of {finding.rarity} of 224 set classes")
    yield ""


def _where(finding: Finding) -> str:
    if not finding.spots:
        return finding.heard
    shown = "; ".join(map(str, finding.spots[:_MOST_SPOTS]))
    more = len(finding.spots) - _MOST_SPOTS
    return f"{shown}; {more} more" if more > 0 else shown


def _fact(about: str, said: str) -> Iterator[str]:
    if said:
        yield from _wrapped(f"   {about:7}", said, 10)


def _wrapped(first: str, said: str, indent: int) -> Iterator[str]:
    yield from textwrap.wrap(
        said,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    )
