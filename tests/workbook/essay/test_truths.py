"""The answers of the essays, against plain arithmetic modulo 12 that knows nothing of the library.

References
----------
The semitones of chords and intervals: common practice, no source.
"""

from __future__ import annotations

import cmath
from itertools import combinations, pairwise, permutations, product

import pytest
from plain_notes import (
    DIMINISHED,
    FOURS,
    TUNINGS,
    Notes,
    apart,
    chord,
    fretted,
    moved,
    note,
    steps,
    turned,
)

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.workbook.essay.asked import Asked, ask_all
from harmonykit.workbook.essay.text import essay_names, read_essay
from harmonykit.workbook.essay.truths import find_answer


def alternate(one: Notes, other: Notes) -> bool:
    """Whether going round one meets a note of the one, then of the other, all the way."""
    if one & other:
        return False
    sides = [each in one for each in sorted(one | other)]
    return all(a != b for a, b in zip(sides, [*sides[1:], sides[0]], strict=True))


def alternating(with_it: Notes) -> list[Notes]:
    return [each for each in FOURS if alternate(each, with_it)]


def kinds(sets: list[Notes]) -> int:
    return len({min(tuple(sorted(turned(each, up))) for up in range(12)) for each in sets})


def kind(notes: Notes) -> tuple[int, ...]:
    """The same for all transpositions and mirror images of some notes, and for no others."""
    mirrored = frozenset(-each % 12 for each in notes)
    return min(tuple(sorted(turned(one, up))) for one in (notes, mirrored) for up in range(12))


def part_of(notes: Notes, part: int) -> float:
    """The size of a part of the Fourier transform, as its definition has it."""
    return abs(sum(cmath.exp(-2j * cmath.pi * part * each / 12) for each in notes))


def doubled(few: Notes, many: Notes) -> int:
    """The least semitones in all where each note is used, and those of the smaller chord again."""
    start, ends = sorted(few), sorted(many)
    return min(
        sum(map(apart, starts, ends))
        for starts in product(start, repeat=len(ends))
        if set(starts) == set(start)
    )


def right(asked: Asked, tuning: tuple[int, ...]) -> list[str]:
    """The choices that are right, by the arithmetic above."""
    name, *about = asked.section.truth.split()
    choices = asked.section.choices
    every = [turned(chord(about[0]), up) for up in range(12)] if name == "different" else []
    counts = {
        "doubled": lambda: doubled(chord(about[0]), chord(about[1])),
        "path": lambda: sum(moved(chord(a), chord(b)) for a, b in pairwise(about)),
        "pairings": lambda: len(list(permutations(chord(about[0])))),
        # Pairings that keep the order are the turns of one of the rows.
        "in-order": lambda: sum(
            any(row == (*order[n:], *order[:n]) for n in range(len(order)))
            for order in [sorted(chord(about[0]))]
            for row in permutations(order)
        ),
        "classes-of": lambda: len(
            {kind(frozenset(e)) for e in combinations(range(12), int(about[0]))}
        ),
        "pairs": lambda: sum(
            apart(one, other) == int(about[1]) for one, other in combinations(chord(about[0]), 2)
        ),
        "strongest": lambda: max(range(1, 7), key=lambda part: part_of(chord(about[0]), part)),
        "embedded": lambda: sum(
            kind(frozenset(each)) == kind(chord(about[0]))
            for each in combinations(chord(about[1]), len(chord(about[0])))
        ),
        "kinds-holding": lambda: len(
            {
                kind(frozenset(each))
                for each in combinations(range(12), int(about[0]))
                if any(turned(chord(about[1]), n) <= set(each) for n in range(12))
            }
        ),
        "strings-move": lambda: sum(
            abs(int(b) - int(a)) for a, b in zip(about[0], about[1], strict=True)
        ),
        "semitones": lambda: (note(about[1]) - note(about[0])) % 12,
        "kept": lambda: len(chord(about[0]) & turned(chord(about[0]), int(about[1]))),
        "first-turn": lambda: next(
            up for up in range(1, 13) if turned(chord(about[0]), up) == chord(about[0])
        ),
        "different": lambda: len(set(every)),
        "parents": lambda: sum(
            moved(chord(about[0]), turned(chord("C7"), up)) == 1 for up in range(12)
        ),
        "neighbours": lambda: sum(moved(chord(about[0]), each) == 1 for each in FOURS),
        # A root a semitone above a note, a semitone below one, or one of them.
        "targets": lambda: len({(each + up) % 12 for each in chord(about[0]) for up in (1, -1, 0)}),
        "in-each-gap": lambda: (note("D") - note("B")) % 12 - 1,
        "alternating": lambda: len(alternating(chord(about[0]))),
        "alternating-kinds": lambda: kinds(alternating(chord(about[0]))),
        "alternating-scales": lambda: len(
            {each | other for each in DIMINISHED for other in alternating(each)}
        ),
        "distance": lambda: moved(chord(about[0]), chord(about[1])),
        "steps": lambda: steps(chord(about[0]), note(about[1])),
        "steps-together": lambda: steps(chord(about[0]) | chord(about[1]), note(about[2])),
        "shifts": lambda: next(
            up
            for up in range(12)
            if {turned(frozenset(fretted(about[0], tuning)), n) for n in range(up + 1)}
            >= set(DIMINISHED)
        ),
    }
    if name in counts:
        return [str(counts[name]())]
    judges = {
        "root": lambda each: turned(chord("C7"), note(each)) == chord(about[0]),
        "called": lambda each: chord(each) == chord(about[0]),
        "diminished-of": lambda each: moved(chord(each), chord(about[0])) == 1,
        "comes-in": lambda each: len({turned(chord(each), n) for n in range(12)}) == int(about[0]),
        "keeps-guide-tones": lambda each: {note("F#"), note("C")} <= chord(each),
        "has-no-scale": lambda each: not any(alternate(chord(each), d) for d in DIMINISHED),
        "largest-move": lambda each: min(
            max(map(apart, sorted(chord(about[0])), ends)) for ends in permutations(chord(each))
        ) == int(about[1]),
        "same-class": lambda each: kind(chord(each)) == kind(chord(about[0])),
        # L moves the root of a major triad by a semitone, and keeps its third and fifth.
        "plr": lambda each: about == ["C", "L"] and chord(each) == {11, 4, 7},
        "between": lambda each: moved(chord(about[0]), chord(each)) == 1
        and moved(chord(each), chord(about[1])) == 1,
        "greatest-part": lambda each: part_of(chord(each), int(about[0]))
        == max(part_of(chord(other), int(about[0])) for other in choices),
        "goes": lambda each: note(each) in chord(about[2])
        and all(
            apart(note(each), note(about[1])) <= apart(end, note(about[1]))
            for end in chord(about[2])
        ),
        "string-sounds": lambda each: fretted(about[0], tuning)[int(about[1]) - 1] == note(each),
        "scale-root": lambda each: chord(each + "6") == chord(about[0]),
        # Each string goes to the next note of the major scale with the flat sixth.
        "next-shape": lambda each: fretted(each, tuning) == [
            next(n for n in range(low + 1, low + 4) if n % 12 in (0, 2, 4, 5, 7, 8, 9, 11)) % 12
            for low in fretted(about[2], tuning)
        ],
    }  # fmt: skip
    return [each for each in choices if judges[name](each)]


ASKED = [(name, asked) for name in essay_names() for asked in ask_all(read_essay(name))]


@pytest.mark.parametrize(
    ("name", "asked"), ASKED, ids=[f"{name}: {asked.section.heading}" for name, asked in ASKED]
)
def test_the_answer_is_the_one_that_plain_arithmetic_gives(name: str, asked: Asked) -> None:
    tuning = TUNINGS[read_essay(name).instrument.name]
    assert [asked.right.typed] == right(asked, tuning)


def test_where_not_just_one_choice_is_right_nothing_is_asked() -> None:
    ukulele = Instrument.named("ukulele")
    with pytest.raises(HarmonyError, match="8 is right, of the choices 4, 5"):
        find_answer("neighbours Adim7", ("4", "5"), ukulele)
    with pytest.raises(HarmonyError, match="C6, Am7 is right"):
        find_answer("called C6", ("C6", "Am7"), ukulele)
    with pytest.raises(HarmonyError, match="unknown truth"):
        find_answer("guess", ("1",), ukulele)
