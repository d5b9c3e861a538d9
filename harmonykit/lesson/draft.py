"""A first draft of a lesson on a tune: a file that builds as it is, for a teacher to go on from.

What it may be about stands in ``ideas``.  What is said is put in by calls, so that the draft stays
true whatever the teacher changes above.
"""

from __future__ import annotations

import json
from pathlib import Path

from harmonykit.files import write_new
from harmonykit.fretboard.instrument import Instrument
from harmonykit.lesson.front import FORMAT
from harmonykit.lesson.ideas import HOME, Idea
from harmonykit.lesson.model import LessonError
from harmonykit.lesson.source import FENCE
from harmonykit.lesson.starts import climbing_shape, movable_shape
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, approach, resolutions
from harmonykit.theory.interval import Interval
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune

_SLOWEST = 40
_THREES = (3, 6, 9)


def write_draft(
    path: Path, tune: Tune, tune_name: str, instrument: Instrument, number: int | None = None
) -> Path:
    """Write a draft to a new file.

    Raises
    ------
    LessonError
        If the file is there already: a teacher's work is never written over.
    """
    write_new(path, draft(tune, tune_name, instrument, number), LessonError)
    return path


def draft(
    tune: Tune,
    tune_name: str,
    instrument: Instrument,
    number: int | None = None,
    idea: Idea = HOME,
) -> str:
    """Return a lesson's text for a tune on an instrument.

    Parameters
    ----------
    tune : Tune
    tune_name : str
        What stands in the file for the tune: a shipped name, or a path.
    instrument : Instrument
    number : int, optional
        Which tune of a file that holds many.
    idea : Idea
        What the lesson is about.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> tune = Tune.read(find_data("tunes", "net_loft_shuffle"))
    >>> text = draft(tune, "net_loft_shuffle", Instrument.named("ukulele"))
    >>> text.splitlines()[2]
    'title = "Ways into Net Loft Shuffle"'
    """
    chord = approach(tune.key.tonic.transpose(Interval.parse(idea.leads_to)))
    kind = "minor" if tune.key.mode == "minor" else "major"
    scale = SixthDiminished(tune.key.tonic, kind)
    # Both must have a shape before anything is written.
    movable_shape(chord, instrument)
    climbing_shape(scale, instrument)
    front = _front(tune, tune_name, instrument, chord, idea)
    if number is not None:
        front.insert(front.index(f"instrument = {_quoted(instrument.name)}"), f"number = {number}")
    return "\n".join([*front, "", *_body(chord, idea), ""])


def _front(
    tune: Tune, tune_name: str, instrument: Instrument, chord: Chord, idea: Idea
) -> list[str]:
    kind = "minor" if tune.key.mode == "minor" else "major"
    lines = [
        FENCE,
        f"format = {FORMAT}",
        f"title = {_quoted(idea.title.format(tune=tune.title))}",
        f"subtitle = {_quoted(idea.subtitle)}",
        f"tune = {_quoted(tune_name)}",
        f"instrument = {_quoted(instrument.name)}",
        f"chord = {_quoted(chord.symbol)}",
        f"scale = {_quoted(f'{tune.key.tonic.name} {kind}')}",
    ]
    for name, moves, prefer, hand, share, watch in idea.levels:
        lines += ["", "[[levels]]", f"name = {_quoted(name)}", f"moves = {json.dumps(list(moves))}"]
        lines += [f"prefer = {_quoted(prefer)}"] if prefer else []
        # In three a chord put in lasts one beat: at any tempo that is music, less than two seconds.
        lines += ["least_seconds = 1.0"] if hand == 1 and tune.meter[0] in _THREES else []
        lines += [f"hand = {hand}", f"tempo = {max(_SLOWEST, round(tune.tempo * share))}"]
        lines.append(f"watch = {_quoted(watch)}")
    return [*lines, FENCE]


def _quoted(text: str) -> str:
    """Return a TOML string: JSON's strings are TOML's."""
    return json.dumps(text, ensure_ascii=False)


def _body(chord: Chord, idea: Idea) -> list[str]:
    home = next(way for way in resolutions(chord) if leads_home(chord, way))
    names = {"chord": chord.symbol, "parent": home.parent.symbol, "target": home.target.name}
    return idea.body.format(**names).split("\n")


def leads_home(chord: Chord, way: Resolution) -> bool:
    """Whether a diminished seventh's own root is the leading note of where it goes."""
    return (chord.root.pitch_class + 1 - way.target.pitch_class) % 12 == 0
