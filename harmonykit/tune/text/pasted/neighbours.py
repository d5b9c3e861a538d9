"""What a line is by the lines beside it: a title, a lone chord, chords in a sentence."""

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from harmonykit.tune.text.pasted import titles
from harmonykit.tune.text.pasted.lines import EDGES, Line, reads, sort_line
from harmonykit.tune.text.pasted.plain import Naming

# What joins chords in a sentence, and how many make it one of chords.
_JOINERS = ("", "then", "and", "to", "und", "dann", "et", "puis", "y", "luego", "e", "poi")
_LEAST_RUN = 3
_EDGES_OF_WORDS = EDGES + ",;!?"


def sort_lines(texts: Sequence[tuple[int, str]], naming: Naming) -> list[Line]:
    """Return the lines, a lone letter above words being a chord where nothing has bar lines.

    A chord in brackets after a title is its key.  Where no line is of chords, those that stand in
    sentences are taken.
    """
    lines = [sort_line(text, at, naming) for at, text in texts]
    first = next((n for n, line in enumerate(lines) if line.kind in ("row", "chords")), None)
    if first is not None and titles.is_titled(texts[first][1]):
        lines[first] = Line("words", texts[first][1], texts[first][0])
    if any(line.kind == "row" for line in lines):
        return lines
    if not any(line.kind == "chords" for line in lines):
        return [in_sentence(line, naming) for line in lines]
    found = []
    filled = [line for line in lines if line.kind]
    for line, after in pairwise([*filled, Line("", "", 0)]):
        lone = line.kind == "name" and line.text.strip() in "ABCDEFGH"
        found.append(
            replace(line, kind="chords", name="") if lone and after.kind == "words" else line
        )
    return found


def in_sentence(line: Line, naming: Naming) -> Line:
    """Return words that name chords one after another as chords: "play G, D7 and C, then G".

    Examples
    --------
    >>> found = in_sentence(Line("words", "it goes G, D7, then C", 0), Naming())
    >>> found.kind, found.text.split(), found.before.split()
    ('chords', ['G,', 'D7,', 'C'], ['it', 'goes', 'then'])
    """
    if line.kind != "words":
        return line
    words = [*re.finditer(r"\S+", line.text)]
    kept: list[re.Match[str]] = []
    run: list[re.Match[str]] = []
    for count, found in enumerate(words):
        after = words[count + 1][0] if count + 1 < len(words) else ""
        if _is_chord(found[0], after, naming):
            run.append(found)
        ends = found is words[-1] or found[0][-1] in ".?!"
        if ends or not (found in run or found[0].strip(_EDGES_OF_WORDS).lower() in _JOINERS):
            kept += run if len(run) >= _LEAST_RUN else []
            run = []
    if not kept:
        return line
    text, before = [" "] * len(line.text), list(line.text)
    for found in kept:
        text[slice(*found.span())] = found[0]
        before[slice(*found.span())] = " " * len(found[0])
    return replace(line, kind="chords", text="".join(text), before="".join(before))


def _is_chord(word: str, after: str, naming: Naming) -> bool:
    """Return whether a word of a sentence is a chord: "A" before a plain word is an article."""
    article = word == "A" and after[:1].islower() and after.lower() not in _JOINERS
    return word.lstrip(EDGES)[:1].isupper() and not article and reads(word, naming)
