"""What a line is by the lines beside it: a title, a lone chord, chords in a sentence."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from harmonykit.tune.text.pasted import titles
from harmonykit.tune.text.pasted.lines import EDGES, Line, reads, sort_line
from harmonykit.tune.text.pasted.ordered import order_in
from harmonykit.tune.text.pasted.plain import Naming

# What joins chords in a sentence, and how many make it one of chords.
_JOINERS = ("", "then", "and", "to", "und", "dann", "et", "puis", "y", "luego", "e", "poi")
_LEAST_RUN = 3
_BARS = ("row", "chords")
_EDGES_OF_WORDS = EDGES + ",;!?"


def sort_lines(texts: Sequence[tuple[int, str]], naming: Naming) -> list[Line]:
    """Return the lines, a lone letter above words being a chord where nothing has bar lines.

    A chord in brackets after a title is its key.  Where no line is of chords, those that stand in
    sentences are taken.
    """
    lines = in_order([sort_line(text, at, naming) for at, text in texts], texts)
    first = next((n for n, line in enumerate(lines) if line.kind in ("row", "chords")), None)
    if first is not None and titles.is_titled(texts[first][1]):
        lines[first] = Line("words", texts[first][1], texts[first][0])
    barred = any(line.kind == "row" for line in lines)
    if not barred and not any(line.kind == "chords" for line in lines):
        return [in_sentence(line, naming) for line in lines]
    return lone_chords(lines, naming, barred=barred)


def lone_chords(lines: Sequence[Line], naming: Naming, *, barred: bool) -> list[Line]:
    """Return the lines; a letter alone that no bars follow, and no section has, is a chord.

    Without bar lines so is one above words, one that is not the next letter (``A``, then ``B``),
    and any where each line has one chord.

    Examples
    --------
    >>> lines = [sort_line(text, 0, Naming()) for text in ("A", "G D7", "G", "Em C", "A")]
    >>> [line.kind for line in lone_chords(lines, Naming(), barred=False)]
    ['name', 'chords', 'chords', 'chords', 'name']
    """
    filled = [line for line in lines if line.kind and line.kind != "comment"]
    follows = {id(line): after.kind for line, after in pairwise([*filled, Line("", "", 0)])}
    named = {line.name for line in lines if line.name and follows.get(id(line)) in _BARS}
    named |= {line.name for line in lines if line.kind in _BARS}
    single = all(len(line.text.split()) == 1 for line in lines if line.kind == "chords")
    seen = {"@"}  # before "A"
    found = []
    for line in lines:
        after = follows.get(id(line))
        may = len(line.name) == 1 and not line.text.strip().endswith(":")
        if may and line.kind == "name" and naming.reads(line.name):
            bare = line.text.strip() == line.name
            next_letter = line.name in seen or chr(ord(line.name) - 1) in seen
            chord = after not in _BARS and line.name not in named
            chord |= not barred and (after == "words" or bare and (single or not next_letter))
            line = replace(line, kind="chords", name="") if chord else line
        seen.add(line.name)
        found.append(line)
    return found


def in_order(lines: Sequence[Line], texts: Sequence[tuple[int, str]]) -> list[Line]:
    """Return the lines; what puts sections in order is of words, though letters name chords."""
    known = names_in(lines)
    return [
        Line("words", text, at) if "|" not in text and order_in(text, known) else line
        for line, (at, text) in zip(lines, texts, strict=True)
    ]


def names_in(lines: Iterable[Line]) -> frozenset[str]:
    """Return the names of the sections."""
    return frozenset(line.name for line in lines if line.name)


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
