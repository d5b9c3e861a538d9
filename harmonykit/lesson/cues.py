"""Cues: what hangs on the wall while a class plays, as pages to print and as a page that follows.

A cue is a page of 16:9: a figure of the text, or the loop of a level, which is two bars with the
change that will break down first, large, with shapes.  The script names it ("Cue 3"), so that
whoever gives the lesson knows when to go on.  The page for a browser has each level's chart and
player; in full screen the chord that sounds and the next one stand large, and follow the sound.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from harmonykit.arrange import arrangement, written
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout import changes, typeset
from harmonykit.lesson.page.html import PageParts, wall_parts
from harmonykit.lesson.plan.model import Chart, Lesson, Picture, Played
from harmonykit.lesson.plan.shown import bare_diagram
from harmonykit.lesson.together import rescue
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Cue:
    """One page for the screen.

    Parameters
    ----------
    number : int
        Counted from 1, as the script says it.
    title : str
        The heading of its section.
    picture : Picture or None
        What is shown; a level's cue shows its loop.
    level : int or None
        The level whose loop it is, counted from 0.
    """

    number: int
    title: str
    picture: Picture | None = None
    level: int | None = None


def cues_of(lesson: Lesson) -> dict[tuple[int, int], Cue]:
    """Return a lesson's cues, by the place of section and block for which each stands."""
    found: dict[tuple[int, int], Cue] = {}
    for s, section in enumerate(lesson.sections):
        for b, block in enumerate(section.blocks):
            number = len(found) + 1
            if isinstance(block, Picture):
                found[s, b] = Cue(number, section.title, block)
            elif isinstance(block, Chart):
                found[s, b] = Cue(number, section.title, None, block.level)
    return found


def gather_cues(lesson: Lesson) -> typeset.Unset:
    """Return the cues of a lesson as pages of 16:9 that are yet to be set."""
    pages = [_page(lesson, cue) for cue in cues_of(lesson).values()]
    return typeset.Unset.of("cues", {"title": lesson.front.title, "pages": pages})


def _page(lesson: Lesson, cue: Cue) -> dict[str, Any]:
    if cue.level is not None:
        return _loop(lesson, cue.number, lesson.played[cue.level])
    drawings = cue.picture.drawings if cue.picture else ()
    captions = cue.picture.captions if cue.picture else ()
    figures = [_figure(*each) for each in zip(drawings, captions, strict=True)]
    return {"number": cue.number, "title": cue.title, "figures": figures}


def _figure(drawing: Drawing, caption: str = "") -> dict[str, Any]:
    return {
        "svg": drawing.svg,
        "alt": drawing.alt,
        "wide": drawing.width_mm,
        "high": drawing.height_mm,
        "left": drawing.origin_mm[0],
        "caption": caption,
    }


def _loop(lesson: Lesson, number: int, played: Played) -> dict[str, Any]:
    """Return two bars of a level as plain data: those practised first, or the first two."""
    way, tune = played.arrangement, lesson.front.tune
    hard = rescue.bars_first(rescue.practised_changes(way, played.level.tempo))
    hard = hard or next(iter(rescue.hard_changes(way, played.level.tempo, 1)), None)
    bars = way.bars()
    last = min(hard.after.bar, len(bars) - 1) if hard else 1
    first = max(0, min(last - 1, len(bars) - 2))
    numbers = written.printed_numbers(way)
    here = [n for n in range(first, min(first + 2, len(bars)))]
    said = " and ".join(str(numbers[n][0]) for n in here)
    word = "bars" if len(here) > 1 else "bar"
    return {
        "number": number,
        "title": f"{tune.title}: {played.level.name}",
        "about": f"{word} {said}, {rescue.said_tempo(played.level.tempo, tune.meter)}",
        "bars": [_bar(played, n) for n in here],
        "next": _next(played, hard),
    }


def _bar(played: Played, index: int) -> dict[str, Any]:
    way = played.arrangement
    place = way.tune.playing[index]
    beat = beat_length(place.bar.meter)
    cells = [
        _cell(played, n, step, place.onset, place.bar.length)
        for n, step in enumerate(way.steps)
        if step.bar == index
    ]
    return {"beats": max(1, int(place.bar.length / beat)), "cells": cells}


def _cell(
    played: Played, index: int, step: arrangement.Step, onset: Fraction, length: Fraction
) -> dict[str, Any]:
    before = played.arrangement.steps[index - 1] if index else None
    held = before is not None and before.voicing == step.voicing and before.chord == step.chord
    name = step.chord.unicode if step.chord is not None and not step.alone else ""
    return {
        "at": float((step.onset - onset) / length),
        "name": name or (NO_CHORD if step.chord is None else ""),
        "added": step.added,
        "box": None if step.voicing is None else _placed(played, index, step.voicing),
        "held": held,
    }


def _placed(played: Played, index: int, shape: Voicing) -> dict[str, Any]:
    """Return a step's diagram, and whether the number of a fret stands beside it."""
    look = BoxLook(size="chart", notes=False, fingering=played.arrangement.fingerings[index])
    drawn = bare_diagram(shape, marks="fingers", look=look)
    return _figure(drawn) | {"numbered": window(shape.frets)[0] > 1}


def _next(played: Played, hard: rescue.Hard | None) -> dict[str, Any] | None:
    """Return what comes after the loop: the next chord with its shape, and where it stands."""
    if hard is None:
        return None
    way = played.arrangement
    for index, step in enumerate(way.steps):
        if step.voicing is None or step.voicing == hard.after.voicing:
            continue
        if step.bar > hard.after.bar and step.chord is not None and not step.alone:
            change = way.changes[index]
            return {
                "name": step.chord.unicode,
                "added": step.added,
                "box": _placed(played, index, step.voicing),
                "bar": f"bar {written.printed_numbers(way)[step.bar][0]}",
                "hand": changes.fingers_said(change) if change is not None else "",
            }
    return None


def write_wall(lesson: Lesson, music: str | None = None) -> str:
    """Return the cues for a browser: each level's chart with its player, made to fill a screen.

    ``music`` is what ``music_of`` says of the lesson, where it is known already.
    """
    parts = PageParts(lesson)
    sections = [parts.section(*each) for each in _levels(lesson)]
    return wall_parts(parts, lesson, sections, music)


def _levels(lesson: Lesson) -> Iterator[tuple[str, tuple[Chart]]]:
    for index, played in enumerate(lesson.played):
        yield played.level.name, (Chart(index),)
