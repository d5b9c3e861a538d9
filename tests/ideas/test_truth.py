"""Every statement is true: judged anew from its words, by arithmetic on the notes that it names.

The judges read the sentences and never ask the code that made them; a kind without a judge fails.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import permutations

import pytest

import harmonykit as hk
from harmonykit.ideas.finder import discover
from harmonykit.ideas.finding import Finding
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet

# Sixteen usual kinds, each on another root, and scales.
CHORDS = ("C", "Dm", "Eb+", "Emb5", "Fsus4", "G7", "Am7", "Bm7b5", "Bbmaj7", "Db6", "F#m6", "Adim7",
          "Ab7b5", "D7#5", "E7sus4", "Cmmaj7")  # fmt: skip
SCALES = ("C whole tone", "half-whole", "D dorian", "A melodic minor", "G major pentatonic")
NOTES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SIGNS = {"♭": -1, "♯": 1, "𝄫": -2, "𝄪": 2}
SHAPES = {
    "": (0, 4, 7), "m": (0, 3, 7), "+": (0, 4, 8), "m♭5": (0, 3, 6), "sus4": (0, 5, 7),
    "sus2": (0, 2, 7), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10), "m7♭5": (0, 3, 6, 10),
    "maj7": (0, 4, 7, 11), "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "°7": (0, 3, 6, 9),
    "7♭5": (0, 4, 6, 10), "7♯5": (0, 4, 8, 10), "7sus4": (0, 5, 7, 10), "m(maj7)": (0, 3, 7, 11),
}  # fmt: skip
NAME = re.compile(
    r"(?<![A-Za-z])([A-G][♭♯]?)"
    r"(m\(maj7\)|m7♭5|m♭5|maj7|7sus4|sus4|sus2|7♭5|7♯5|m7|m6|°7|7|6|\+|m)?(?![\w♭♯(/°+])"
)
MAJOR = {frozenset((root + n) % 12 for n in (0, 2, 4, 5, 7, 9, 11)) for root in range(12)}


def note(name: str) -> int:
    return (NOTES[name[0]] + sum(SIGNS[sign] for sign in name[1:])) % 12


def chords(text: str) -> list[frozenset[int]]:
    """Return the notes of every chord that a text names."""
    return [
        frozenset((note(root) + n) % 12 for n in SHAPES[kind or ""])
        for root, kind in NAME.findall(text)
    ]


@cache
def found(source: str) -> tuple[tuple[Finding, ...], frozenset[int]]:
    if source == "half-whole":
        notes = hk.Scale("C", "octatonic half-whole").pcs
    else:
        notes = (hk.Scale.parse(source) if " " in source else Chord.parse(source)).pcs
    return discover(source), frozenset(notes)


def of_kind(kind: str, sources: tuple[str, ...]) -> list[tuple[Finding, frozenset[int]]]:
    rows = [(one, found(source)[1]) for source in sources for one in found(source)[0]]
    return [(one, notes) for one, notes in rows if one.kind == kind]


def least(a: frozenset[int], b: frozenset[int]) -> int:
    return min(
        sum(min((x - y) % 12, (y - x) % 12) for x, y in zip(sorted(a), order, strict=True))
        for order in permutations(b)
    )


def test_every_kind_has_a_judge() -> None:
    kinds = {one.kind for source in (*CHORDS, *SCALES) for one in found(source)[0]}
    judged = {
        "turns into", "same notes", "contains", "within", "twelve notes", "alternates", "paths",
        "nearest of its kind", "tritone pairs", "kin", "how many", "how even", "left over",
        "every other note", "resolves", "in music",
    }  # fmt: skip
    assert kinds <= judged


def test_names_of_the_same_notes() -> None:
    rows = of_kind("same notes", CHORDS)
    assert len(rows) > 15
    for one, notes in rows:
        if " over " not in one.statement:
            named = chords(one.statement.split(" are ")[0])
            assert len(named) > 1
            assert all(each == notes for each in named)
        else:
            for told in one.proof.split(". Over the")[0].split("; "):
                spelled = told.split(": ")[1].split(", without")[0].split()
                assert {note(n) for n in spelled} == notes | {note(spelled[0])}


def test_changes_of_one_note() -> None:
    rows = of_kind("turns into", CHORDS)
    assert len(rows) > 60
    for one, notes in rows:
        text = one.statement.split(" The note")[0]
        text = text.split(" becomes ")[-1] if "becomes" in text else text.split(": ", 1)[1]
        text = re.sub(r"when [A-G][♭♯𝄫𝄪]*", "", text)
        named = chords(text)
        assert named
        for each in named:
            assert len(each - notes) == len(notes - each) == 1
            assert least(each, notes) <= 2


def test_what_scales_hold_and_leave_out() -> None:
    rows = of_kind("contains", SCALES)
    assert len(rows) > 15
    for one, notes in rows:
        named = chords(one.statement.split(": ", 1)[1])
        assert all(each <= notes for each in named)
        if " holds " in one.statement:
            shape = named[0]
            turned = {frozenset((pc + n) % 12 for pc in shape) for n in range(12)}
            assert set(named) == {each for each in turned if each <= notes}
        else:
            assert frozenset().union(*named) == notes
            assert sum(map(len, named)) == len(notes)
    for one, notes in of_kind("left over", SCALES):
        assert {note(n) for n in one.proof.rstrip(".").split()} == set(range(12)) - notes
        assert all(
            each == set(range(12)) - notes for each in chords(one.statement.split("are ")[1])
        )


def test_keys_and_chords_that_hold_a_chord() -> None:
    rows = of_kind("within", CHORDS)
    assert len(rows) > 10
    for one, notes in rows:
        after = one.statement.split(": ")[1]
        if "major key" in one.statement:
            keys = {frozenset((note(root) + n) % 12 for n in (0, 2, 4, 5, 7, 9, 11))
                    for root, _ in NAME.findall(after)}  # fmt: skip
            assert keys == {key for key in MAJOR if notes <= key}
        else:
            assert all(notes < each and len(each) == 4 for each in chords(after))


def test_twelve_notes_once_each() -> None:
    rows = of_kind("twelve notes", CHORDS)
    assert len(rows) > 4
    for one, _ in rows:
        named = chords(one.statement.split(": ")[1])
        assert sum(map(len, named)) == len(frozenset().union(*named)) == 12


def test_chords_that_take_turns() -> None:
    rows = [row for row in of_kind("alternates", CHORDS) if " alternate in" in row[0].statement]
    assert len(rows) > 4
    for one, notes in rows:
        low = chords(one.statement.split(" alternate in")[0])[1]
        assert not notes & low
        ring = [pc in notes for pc in range(12) if pc in notes | low]
        assert all(ring[at] != ring[at - 1] for at in range(8))
        spelled = one.proof.split(";")[0].split()
        assert {note(n) for n in spelled} == notes | low


def test_the_nearest_of_a_kind() -> None:
    rows = of_kind("nearest of its kind", CHORDS)
    assert len(rows) > 5
    for one, notes in rows:
        named = chords(one.statement.split(", ", 1)[1].split(" nearest ")[0])
        others = {frozenset((pc + n) % 12 for pc in notes) for n in range(1, 12)} - {notes}
        closest = min(least(notes, each) for each in others)
        assert set(named) == {each for each in others if least(notes, each) == closest}


def test_pairs_kin_and_how_many() -> None:
    for one, _ in of_kind("tritone pairs", CHORDS):
        named = chords(re.split(r" share |: ", one.statement.replace(" with ", " and "))[
            1 if "pair" in one.statement else 0])  # fmt: skip
        for a, b in zip(named[::2], named[1::2], strict=True):
            assert len(a & b) >= 2
    for one, notes in of_kind("kin", CHORDS):
        assert all(len(each & notes) == 2 for each in chords(one.statement.split(": ")[1]))
    rows = of_kind("how many", (*CHORDS, *SCALES))
    assert len(rows) >= 4
    words = ["two", "three", "four", "five", "six"]
    for one, notes in rows:
        different = {frozenset((pc + n) % 12 for pc in notes) for n in range(12)}
        assert f"there are {words[len(different) - 2]} different transpositions" in one.statement


def test_chords_between() -> None:
    rows = of_kind("paths", CHORDS)
    assert rows
    for one, notes in rows:
        named = chords(one.proof)
        up = frozenset((pc + 1) % 12 for pc in notes)
        assert f"lie {len(named)} chords" in one.statement
        assert len(set(named)) == len(named) == 2 ** len(notes) - 2
        for each in named:
            assert each <= notes | up
            assert least(each, notes) + least(each, up) == len(notes)


def test_dominants_hold_third_and_seventh() -> None:
    rows = of_kind("resolves", (*CHORDS, *SCALES))
    assert len(rows) > 8
    for one, notes in rows:
        if "dominants share" in one.statement:
            for root, _ in NAME.findall(one.statement.split(": ")[1].split(", which")[0]):
                assert {(note(root) + n) % 12 for n in (0, 4, 10)} <= notes
        elif " resolves to " in one.statement:
            goals = [note(root) for root, _ in NAME.findall(one.statement.split("resolves to ")[1])]
            for goal in goals:
                assert (goal + 11) % 12 in notes  # the leading tone


def test_even_sets_and_rows_of_fifths() -> None:
    for one, notes in of_kind("how even", (*CHORDS, *SCALES)):
        size = len(notes)
        if "stack of fifths" in one.statement:
            row = [note(n) for n in re.findall(r"[A-G][♭♯]*", one.proof.split(": ")[1])]
            assert set(row) == notes
            assert all((b - a) % 12 == 7 for a, b in zip(row, row[1:], strict=False))
        else:
            even = {frozenset((12 * k // size + n) % 12 for k in range(size)) for n in range(12)}
            assert notes in even


def test_every_other_note() -> None:
    rows = of_kind("every other note", SCALES)
    assert rows
    for one, notes in rows:
        row = sorted(notes)
        named = {PcSet.of(*each) for each in chords(one.proof)}
        size = len(next(iter(named)))
        stacks = {PcSet.of(*(row[(at + 2 * n) % len(row)] for n in range(size)))
                  for at in range(len(row))}  # fmt: skip
        assert stacks == named


@pytest.mark.parametrize("source", CHORDS[:6])
def test_what_follows_was_counted(source: str) -> None:
    for one in found(source)[0]:
        if one.kind == "in music":
            counted = one.statement.removeprefix("Counted as ").partition(", ")[0]
            assert ("counted as" in one.proof) == one.statement.startswith(f"Counted as {counted}")
            first = one.statement.split(" is followed by ")[1].split(" in more tunes")[0]
            plain = first.replace("♭", "b").replace("♯", "#").replace("°", "dim")
            assert str(hk.how_often([source, plain]).tunes) in one.proof


@pytest.mark.parametrize("name", ["major", "dorian", "harmonic minor", "mixolydian", "whole tone"])
def test_the_near_miss_of_a_scale_is_not_so_of_it(name: str) -> None:
    """What is said of a scale is not said of the one beside it too."""
    found = [each for each in hk.discover(f"D {name}") if " holds " in each.near_miss]
    assert found
    for each in found:
        said, missed = each.statement.partition(" holds ")[2], each.near_miss.partition(" holds ")
        assert missed[0].startswith("The ") and not said.startswith(missed[2].rstrip(".") + ":")
        assert not said.startswith(missed[2].rstrip(".") + ",")


def test_chords_inside_a_scale_are_spelled_as_the_scale_is() -> None:
    """The seventh of A harmonic minor is G sharp, that of F sharp harmonic minor E sharp."""
    told = {
        tonic: " ".join(each.statement for each in discover(f"{tonic} harmonic minor"))
        for tonic in ("A", "F#")
    }
    assert "C+, E+ and G♯+" in told["A"] and "A♭" not in told["A"]
    assert "C♯+, E♯+ and A+" in told["F#"] or "A+, C♯+ and E♯+" in told["F#"]
