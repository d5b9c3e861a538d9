"""Answers judged against tables and libraries that others made, and whys that are true.

Parents and targets: ``dim7_parents.tsv`` (computed by exhaustion, agrees with Cohn, *Audacious
Euphony*, 2012, ch. 7).  Spelling: ``functions.tsv`` and music21's intervals.  Shapes:
``voicings_uke.tsv``, by exhaustion.  Distances: ``vl_pairs.tsv`` and brute
force.  Scales: ``eightnote_named.tsv`` and music21.
"""

from __future__ import annotations

import re
from itertools import permutations, product

import pytest
from music21 import interval, pitch, scale
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.practice.kinds import ask
from harmonykit.practice.moved import judge_distance, judge_move
from harmonykit.practice.parents import judge_parents
from harmonykit.practice.question import HALF, RIGHT, WRONG, Question, Spec
from harmonykit.practice.shapes import hold
from harmonykit.practice.spelling import judge_scale
from harmonykit.practice.targets import judge_targets
from harmonykit.practice.wording import read_chords, read_notes
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, resolutions
from harmonykit.theory.leading.voiceleading import best_voice_leading
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished

PARENTS = rows("dim7_parents")
SHARPS = "C C# D D# E F F# G G# A A# B".split()
FLATS = "C Db D Eb E F Gb G Ab A Bb B".split()
LETTERS = {letter: pc for pc, letter in enumerate(SHARPS) if len(letter) == 1}
UKULELE = Instrument.named("ukulele")
OPEN = (67, 60, 64, 69)  # g C E A, as MIDI numbers


def sounding(name: str) -> int:
    """Return the pitch class of a name, counted here and not by the library."""
    return (LETTERS[name[0]] + name.count("#") - name.count("b")) % 12


def typed(printed: str) -> str:
    return printed.replace("♭", "b").replace("♯", "#").replace("𝄫", "bb").replace("𝄪", "##")


# Parents.


@pytest.mark.parametrize("row", PARENTS, ids=lambda row: row["dim7_root"])
@pytest.mark.parametrize("names", [SHARPS, FLATS], ids=["sharps", "flats"])
def test_the_four_parents_of_the_table_are_right_in_any_order_and_name(
    row: dict[str, str], names: list[str]
) -> None:
    chord = Chord.parse(f"{row['dim7_root']}dim7")
    ways = resolutions(chord)
    roots = numbers(row["parent_dominant_roots_(7b9_minus_root)"])
    for order in list(permutations(roots))[::5]:
        answer = ", ".join(f"{names[root]}7" for root in order)
        assert judge_parents(chord, ways, read_chords(answer)).score == RIGHT
    assert judge_parents(chord, ways, read_chords(row["parents_named"])).score == RIGHT


@pytest.mark.parametrize("row", PARENTS, ids=lambda row: row["dim7_root"])
def test_a_parent_too_few_or_another_dominant_is_wrong_and_the_why_is_true(
    row: dict[str, str],
) -> None:
    chord = Chord.parse(f"{row['dim7_root']}dim7")
    ways, pcs = resolutions(chord), set(numbers(row["dim7_pcs"]))
    roots = numbers(row["parent_dominant_roots_(7b9_minus_root)"])
    for root in set(range(12)) - set(roots):
        answer = " ".join(f"{FLATS[each]}7" for each in (*roots[1:], root))
        verdict = judge_parents(chord, ways, read_chords(answer))
        assert verdict.score == 0.75  # three of four
        found = re.search(r"(\S+)7 holds (none|one|two) of the notes", verdict.said)
        assert found and sounding(typed(found[1])) == root
        dominant = {(root + step) % 12 for step in (0, 4, 7, 10)}
        assert len(dominant & pcs) == ("none", "one", "two").index(found[2])
        missing = re.findall(r"(\S+)7 is missing", verdict.said)
        assert [sounding(typed(name)) for name in missing] == [roots[0]]


def test_all_that_is_missing_is_named() -> None:
    chord = Chord.parse("Bdim7")
    verdict = judge_parents(chord, resolutions(chord), read_chords("G7"))
    assert "D♭7, E7 and B♭7 are missing: lower D of B°7 by a semitone to D♭" in verdict.said
    assert "Not yet. G7 is right." in verdict.said
    roots = judge_targets(chord, resolutions(chord), read_notes("C A"))
    assert "G♭ and E♭ are missing. B°7 is D♭7♭9 without its root" in roots.said


def test_other_chords_on_the_right_roots_are_no_parents() -> None:
    chord = Chord.parse("Bdim7")
    verdict = judge_parents(chord, resolutions(chord), read_chords("Gm7 E7 Db7 Bb7"))
    assert verdict.score == 0.75 and "Gm7 is not a dominant seventh" in verdict.said
    flat_ninths = read_chords("G7b9, E7b9, Db7b9, Bb7b9")
    assert judge_parents(chord, resolutions(chord), flat_ninths).score == RIGHT


def test_on_the_neck_one_string_comes_down_by_one_fret() -> None:
    for number in range(1, 80):
        asked = ask(Spec("jetty", number, "parents", "neck", number % 4 + 1))
        before = [int(fret) for fret in asked.text.split(" ")[0].split("-")]
        after = [int(fret) for fret in asked.answer.split("-")]
        moved = sorted(b - a for b, a in zip(before, after, strict=True))
        heard = {(string + fret) % 12 for string, fret in zip(OPEN, after, strict=True)}
        if asked.spec.level == 4:
            assert moved == [-1, 0, 0, 0] and asked.text.endswith("becomes a diminished seventh.")
            assert len(heard) == 4 and all((pc + 3) % 12 in heard for pc in heard)
        else:
            assert moved == [0, 0, 0, 1]
            name = typed(re.findall(r"so that it becomes (\S+)7\.", asked.text)[0])
            assert heard == {(sounding(name) + step) % 12 for step in (0, 4, 7, 10)}
        assert asked.judge("-".join(map(str, before))).score == WRONG


# Targets.


@pytest.mark.parametrize("row", PARENTS, ids=lambda row: row["dim7_root"])
def test_targets_lie_a_fifth_below_the_tables_parents(row: dict[str, str]) -> None:
    chord = Chord.parse(f"{row['dim7_root']}dim7")
    ways = resolutions(chord)
    goals = [(r + 5) % 12 for r in numbers(row["parent_dominant_roots_(7b9_minus_root)"])]
    for names in (SHARPS, FLATS):
        given = read_notes(" ".join(names[goal] for goal in reversed(goals)))
        assert judge_targets(chord, ways, given).score == RIGHT
    for other in set(range(12)) - set(goals):
        names = " ".join(FLATS[goal] for goal in (*goals[1:], other))
        verdict = judge_targets(chord, ways, read_notes(names))
        assert verdict.score == 0.75 and "is missing" in verdict.said
        # The other roots: the chord stands on them, or a semitone above.
        on_it = other in set(numbers(row["dim7_pcs"]))
        assert ("keeps its root" if on_it else "from a half step above") in verdict.said
        moves = verdict.said.split("is not a dominant: ")[1].split(".")[0]
        starts = [typed(move.split()[0]) for move in moves.split(", ")]
        assert {sounding(start) for start in starts} == set(chord.pcs)
        assert max(map(len, starts)) <= 2


def test_the_leading_tone_chords_of_the_table_lead_where_it_says() -> None:
    for row in rows("functions"):
        if not row["role"].startswith("leading-tone"):
            continue
        chord = Chord.parse(f"{row['spelling'].split()[0]}dim7")
        root = row["target_notes"].split()[0]
        ways = [w for w in resolutions(chord) if w.target.pitch_class == sounding(root)]
        assert judge_targets(chord, ways, read_notes(root)).score == RIGHT


def test_by_ear_each_voice_of_a_target_moves_by_a_step_at_most() -> None:
    for number in range(1, 40):
        asked = ask(Spec("buoy", number, "targets", "ear", number % 4 + 1))
        before, after = asked.sounds
        assert all(abs(a - b) <= 2 for a, b in zip(before, after, strict=True))
        root = sounding(asked.answer)
        assert {p % 12 for p in after} == {root, (root + 4) % 12, (root + 7) % 12}


# Spelling.

INTERVALS = {
    "7": "M3 P5 m7", "m7": "m3 P5 m7", "6": "M3 P5 M6", "dim7": "m3 d5 d7",
}  # fmt: skip


def spelled(root: str, steps: str) -> list[str]:
    """Return names by music21's intervals."""
    start = pitch.Pitch(root.replace("b", "-"))
    notes = [interval.Interval(step).transposePitch(start).name for step in steps.split()]
    return [root, *(name.replace("-", "b") for name in notes)]


def test_chords_are_spelled_as_music21_spells_their_intervals() -> None:
    for number in range(1, 200):
        asked = ask(Spec("mole", number, "spelling", "words", 1))
        found = re.match(r"Spell ([A-G][♭♯]?)(.*)\.", asked.text.removesuffix(" Write its notes."))
        assert found
        wanted = spelled(typed(found[1]), INTERVALS[found[2]])
        assert asked.answer.split() == wanted
        assert asked.judge(" ".join(reversed(wanted))).score == RIGHT


def test_diminished_sevenths_take_the_letter_below_or_above_their_target() -> None:
    """Open Music Theory, "Applied chords": a leading-tone chord lies a minor second below."""
    for number in range(1, 200):
        asked = ask(Spec("mole", number, "spelling", "words", 3))
        found = re.search(r"(resolves to|passes down to) ([A-G][♭♯]?)", asked.text)
        assert found
        step = "-m2" if found[1] == "resolves to" else "m2"
        goal = pitch.Pitch(typed(found[2]).replace("b", "-"))
        root = interval.Interval(step).transposePitch(goal).name.replace("-", "b")
        if root.count("b") > 1:
            # One that falls is named plainly where its root would have a double flat.
            root = pitch.Pitch(root.replace("b", "-")).getEnharmonic().name.replace("-", "b")
        for name, wanted in zip(
            asked.answer.split(), spelled(root, INTERVALS["dim7"]), strict=True
        ):
            # Nobody has to write two accidentals or three.
            assert name == wanted or (len(wanted) > 2 and len(name) < 3)
            assert sounding(name) == pitch.Pitch(wanted.replace("b", "-")).pitchClass


def test_those_of_a_key_are_spelled_as_in_the_table() -> None:
    named = {row["role"].split(" (")[0].split()[-1]: row["spelling"] for row in rows("functions")
             if row["role"].startswith("leading-tone")}  # fmt: skip
    seen = 0
    for number in range(1, 400):
        asked = ask(Spec("slip", number, "spelling", "words", 4))
        found = re.match(
            r"In C major, spell the leading-tone diminished seventh of (\S+)\.", asked.text
        )
        if found:
            seen += 1
            assert asked.answer == named[found[1]]
    assert seen > 5


def test_what_sounds_right_and_is_spelled_otherwise_counts_half_and_is_told() -> None:
    for number in range(1, 120):
        asked = ask(Spec("mole", number, "spelling", "words", number % 4 + 1))
        notes = asked.answer.split()
        for names in (SHARPS, FLATS):
            other = [names[sounding(note)] for note in notes]
            verdict = asked.judge(" ".join(other))
            assert verdict.score == (RIGHT if set(other) == set(notes) else HALF)
            wrong = [name for name in other if name not in notes]
            said = [typed(each) for each in re.findall(r"not ([A-G][♭♯]*)", verdict.said)]
            assert said == list(dict.fromkeys(wrong)) or verdict.score == RIGHT
        moved = SHARPS[(sounding(notes[1]) + 1) % 12]
        verdict = asked.judge(" ".join([notes[0], moved, *notes[2:]]))
        assert verdict.score == 0.75 and f"{notes[1].replace('b', '♭').replace('#', '♯')}" in (
            verdict.said.replace("𝄫", "♭♭").replace("𝄪", "♯♯")
        )


# Shapes.


def test_every_shape_of_the_table_is_right_if_four_fingers_hold_it() -> None:
    for row in rows("voicings_uke"):
        digits = row["frets_gCEA"].replace(" ", "-")
        chord = Chord.parse(row["chord"])
        held = Voicing.parse(digits, UKULELE).fingering is not None
        verdict = hold(digits, chord, UKULELE)
        assert verdict.score == (RIGHT if held else WRONG), digits
        assert held or "four fingers cannot hold it" in verdict.said


def test_a_shape_with_another_note_is_wrong_and_told_which_note() -> None:
    for row in rows("voicings_uke"):
        frets = [int(fret) for fret in row["frets_gCEA"].split()]
        pcs = set(numbers(row["pcs"]))
        for string in range(4):
            changed = [fret + (place == string) for place, fret in enumerate(frets)]
            heard = {(o + f) % 12 for o, f in zip(OPEN, changed, strict=True)}
            verdict = hold("-".join(map(str, changed)), Chord.parse(row["chord"]), UKULELE)
            if heard == pcs:
                continue
            assert verdict.score == WRONG
            listed = {name: set() for name in ("not in", "missing")}
            for part in re.findall(r"([^.]+?) (?:is|are) (not in|missing)", verdict.said):
                names = re.findall(r"[A-G][♭♯𝄫𝄪]*", part[0])
                listed[part[1]] = {sounding(typed(name)) for name in names}
            assert listed == {"not in": heard - pcs, "missing": pcs - heard}


def test_shapes_that_are_asked_for_sound_what_is_asked() -> None:
    suffixes = {"": (0, 4, 7), "m": (0, 3, 7), "7": (0, 4, 7, 10), "m7": (0, 3, 7, 10),
                "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "°7": (0, 3, 6, 9)}  # fmt: skip
    seen = 0
    for number in range(1, 200):
        asked = ask(Spec("slip", number, "shape", "words", number % 4 + 1))
        found = re.match(r"Find a shape of ([A-G][♭♯]?)(\S*)", asked.text)
        assert found
        frets = [int(fret) for fret in asked.answer.split("-")]
        pitches = [o + f for o, f in zip(OPEN, frets, strict=True)]
        if found[2] in suffixes:
            seen += 1
            root = sounding(typed(found[1]))
            assert {p % 12 for p in pitches} == {(root + s) % 12 for s in suffixes[found[2]]}
        top = re.search(r"with ([A-G][♭♯𝄫]*) on top", asked.text)
        assert not top or max(pitches) % 12 == sounding(typed(top[1]))
        assert max(frets) <= int(re.findall(r"up to fret (\d+)", asked.text)[0])
        assert "no open string" not in asked.text or 0 not in frets
    assert seen > 100


# The note that moved.


def test_two_chords_differ_by_the_note_that_is_asked_for() -> None:
    for number in range(1, 240):
        level = number % 4 + 1
        asked = ask(Spec("buoy", number, "moved", "ear", level))
        before, after = asked.sounds
        ((start, end),) = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
        assert 1 <= abs(end - start) <= (1 if level < 3 else 2)
        names = asked.answer.split(" to ")
        assert [sounding(name) for name in names] == [start % 12, end % 12]
        assert end % 12 not in {p % 12 for p in before}
        other = next(p for p in before if p != start)
        verdict = asked.judge(f"{SHARPS[other % 12]} to {SHARPS[(other + 1) % 12]}")
        assert verdict.score == WRONG and "is still there in the second chord" in verdict.said
        back = asked.judge(f"{names[0]} to {SHARPS[(2 * start - end) % 12]}")
        assert back.score == WRONG and "the other way" in back.said


def test_a_move_is_right_by_any_name() -> None:
    move = Move(Note.parse("Ab"), Note.parse("G"))
    chord = Chord.parse("Bdim7")
    for start, end in product(("Ab", "G#"), ("G", "F##", "Abb")):
        assert judge_move(chord, move, Note.parse(start), Note.parse(end)).score == RIGHT


# Distances.


def by_symbol(name: str, notes: str) -> Chord | None:
    """Return the chord that a row names, unless the name is a set's."""
    try:
        chord = Chord.parse(name)
    except HarmonyError:
        return None
    return chord if tuple(chord.pcs) == numbers(notes) else None


PAIRS = [
    (a, b, int(row["L1"]))
    for row in rows("vl_pairs")
    if (a := by_symbol(row["name_a"], row["a"])) and (b := by_symbol(row["name_b"], row["b"]))
]


def test_there_are_pairs_to_judge() -> None:
    assert len(PAIRS) > 25


@pytest.mark.parametrize(("before", "after", "right"), PAIRS, ids=str)
def test_the_distances_of_the_table_are_right_and_others_wrong(
    before: Chord, after: Chord, right: int
) -> None:
    pair = before, after
    leading = best_voice_leading(*pair)
    assert judge_distance(*pair, leading, right).score == RIGHT
    more = judge_distance(*pair, leading, right + 1)
    assert more.score == WRONG and "is more than they need" in more.said
    assert sum(map(int, re.findall(r"\((\d+)\)", more.said))) == right
    if right:
        assert "too few" in judge_distance(*pair, leading, right - 1).said


def circle(a: int, b: int) -> int:
    return min((a - b) % 12, (b - a) % 12)


def brute(a: set[int], b: set[int]) -> int:
    """Return the least sum over all matchings that use every note of both."""
    small, large = sorted((sorted(a), sorted(b)), key=len)
    least = [
        sum(circle(x, y) for x, y in zip(tops, large, strict=True))
        for tops in product(small, repeat=len(large))
        if set(tops) == set(small)
    ]
    return min(least)


def test_distances_that_are_asked_for_agree_with_brute_force() -> None:
    """With a note of the smaller chord doubled; equal sizes are matched note against note."""
    for number in range(1, 200):
        asked = ask(Spec("ebb", number, "distance", "words", number % 4 + 1))
        found = re.match(r"From (\S+) to (\S+):", asked.text)
        assert found
        a, b = (set(Chord.parse(typed(name)).pcs) for name in found.groups())
        assert int(asked.answer) == brute(a, b)
        assert asked.judge(f"{asked.answer} semitones").score == RIGHT


# Ways.


def ways_of(asked: Question) -> list[tuple[list[int], list[int]]]:
    digits = re.findall(r"[ABC]: (\S+) to ([\d-]+)", asked.text)
    return [tuple([int(f) for f in each.split("-")] for each in pair) for pair in digits]  # type: ignore[misc]


def test_the_best_way_is_the_only_best_by_two_semitones_or_five_millimetres() -> None:
    for number in range(1, 160):
        level = number % 4 + 1
        asked = ask(Spec("rope", number, "smoother", "neck", level))
        ways = ways_of(asked)
        assert len(ways) == (3 if level % 2 == 0 else 2)
        if level < 3:
            costs = [sum(abs(a - b) for a, b in zip(*way, strict=True)) for way in ways]
            gap: float = 2
        else:
            shapes = [tuple(Voicing(UKULELE, tuple(f)) for f in way) for way in ways]
            costs = [travel_mm(*pair) for pair in shapes]  # type: ignore[misc, arg-type]
            gap = 5
        first, second, *_ = sorted(costs)
        assert second - first >= gap
        assert "ABC"[costs.index(first)] == asked.answer
        for letter in "ABC"[: len(ways)]:
            verdict = asked.judge(letter.lower())
            assert (verdict.score == RIGHT) == (letter == asked.answer)
        last = "-".join(map(str, ways[costs.index(first)][1]))
        assert asked.judge(last).score == RIGHT  # the shape itself names the way


# Scales.

NAMED = {row["name"]: numbers(row["pcs"]) for row in rows("eightnote_named")}
TABLE = {
    "major sixth-diminished": NAMED["major-sixth-diminished"],
    "minor sixth-diminished": NAMED["minor-sixth-diminished"],
    "dominant seventh-diminished": NAMED["dominant-seventh-diminished"],
    "dominant seventh flat five-diminished": NAMED["dominant-seventh-flat-five-diminished"],
    "octatonic whole-half": NAMED["octatonic whole-half"],
    "melodic minor": tuple(
        p.pitchClass for p in scale.MelodicMinorScale("C").getPitches("C4", "B4")
    ),
}


def test_scales_are_completed_as_in_the_tables() -> None:
    seen = set()
    for number in range(1, 400):
        asked = ask(Spec("tide", number, "scale", "words", number % 4 + 1))
        found = re.match(r"Complete ([A-G][♭♯]?) ([^:]+): ([^.]+)\.", asked.text)
        assert found
        if found[2] not in TABLE:
            continue
        seen.add(found[2])
        tonic = sounding(typed(found[1]))
        wanted = {(tonic + pc) % 12 for pc in TABLE[found[2]]}
        shown = {sounding(typed(name)) for name in found[3].split() if name != "?"}
        missing = {sounding(name) for name in asked.answer.split()}
        assert shown | missing == wanted and not shown & missing
        assert asked.judge(" ".join(SHARPS[pc] for pc in missing)).score == RIGHT
        assert asked.judge(" ".join(FLATS[pc] for pc in wanted)).score == RIGHT
        extra = next(pc for pc in range(12) if pc not in wanted)
        verdict = asked.judge(f"{asked.answer} {FLATS[extra]}")
        asked_for = len(missing)
        assert verdict.score == round(asked_for / (asked_for + 1), 2)
        assert "is not in" in verdict.said
    assert seen == set(TABLE)


def test_what_the_scale_has_on_that_letter_is_told() -> None:
    verdict = judge_scale(SixthDiminished("C"), (Note.parse("Ab"),), read_notes("Gb"))
    assert "; it has G." in verdict.said and "A♭ is missing" in verdict.said
