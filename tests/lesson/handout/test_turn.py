"""The last page: what moves, the exercise and its answers."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import nearest
from harmonykit.lesson.handout.turn import easiest, homeward, last_page
from harmonykit.lesson.plan.shown import Shown
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def said(page: dict[str, object]) -> str:
    return "".join(text for runs in page["small"] for text, _ in runs)  # type: ignore[attr-defined]


def test_nearest_is_least_by_brute_force() -> None:
    """Against every fretting of g C E A up to the sixth fret that sounds the triad whole."""
    for start, target in (("2223", "G"), ("1323", "Db"), ("2313", "Bb"), ("2322", "E")):
        before, chord = Voicing.parse(start, UKULELE), Chord.parse(target)
        found = nearest(before, chord)
        assert found is not None
        ways = [
            sum(abs(a - b) for a, b in zip(frets, before.frets, strict=True) if b is not None)
            for frets in product(range(7), repeat=4)
            if {(m + f) % 12 for m, f in zip(UKULELE.midi, frets, strict=True)} == set(chord.pcs)
        ]
        moves = zip(found.frets, before.frets, strict=True)
        assert sum(abs(a - b) for a, b in moves if a is not None and b is not None) == min(ways)


def test_the_moves_are_told_string_by_string(lesson_path: Path) -> None:
    """Worked by hand: B flat 7 (3-5-4-5) to E flat (3-3-3-6), the g string keeps its B flat."""
    moves = last_page(load_lesson(lesson_path), Figures())["moves"]
    texts = [runs[0][0] for runs in moves["text"]]
    assert texts[0] == "From D°7 to B♭7 one finger moves, on the g string."
    assert texts[1].startswith("From B♭7 to E♭ the g string holds its B♭ and the other three move.")


def test_the_exercise_and_its_answers(lesson_path: Path) -> None:
    """5-6-5-6 sounds C, F sharp, A and E flat; each note a semitone lower is a dominant's root,
    and each dominant falls a fifth (theory of the diminished seventh, Cohn 2012, ch. 7)."""
    turn = last_page(load_lesson(lesson_path), Figures(), "upside down")["turn"]
    assert turn["digits"] == "5-6-5-6" and "answers" not in turn
    assert "from g to A" in turn["note"] and "at fret 5" in turn["note"]
    assert turn["said"] == (
        "Check your answers: B7 (4-6-5-6) to E, F7 (5-5-5-6) to B♭, A♭7 (5-6-4-6) to D♭, "
        "D7 (5-6-5-5) to G."
    )
    assert [one["label"] for one in turn["outcomes"]] == [
        f"lower {s}" for s in ("g", "C", "E", "A")
    ]


def test_the_answers_drawn(lesson_path: Path) -> None:
    figures = Figures()
    turn = last_page(load_lesson(lesson_path), figures)["turn"]
    assert "said" not in turn and all(one["target"] == "" for one in turn["outcomes"])
    drawn = turn["answers"]["outcomes"]
    assert [one["target"] for one in drawn] == ["E", "B♭", "D♭", "G"]
    alts = [figures.table()[one["box"]]["alt"].split(":")[0] for one in drawn]
    assert alts == ["B seven", "F seven", "A flat seven", "D seven"]


def test_the_parents_as_a_table(lesson_path: Path) -> None:
    """Each note of D F A♭ C♭ lowered is the root of a dominant, which falls a fifth, string by
    string from g to A as the boxes stand; the semitone steps to the triad of arrival by hand."""
    parents = last_page(load_lesson(lesson_path), Figures())["parents"]
    assert [row[:4] for row in parents["rows"]] == [
        ["C♭ falls to B♭", "B♭7", "3-5-4-5", "E♭"],
        ["F falls to E", "E7", "4-4-4-5", "A"],
        ["A♭ falls to G", "G7", "4-5-3-5", "C"],
        ["D falls to D♭", "D♭7", "4-5-4-4", "G♭"],
    ]
    assert parents["rows"][2][4] == "B rises to C, D falls to C, F falls to E, A♭ falls to G"


def test_a_note_that_is_natural_in_the_picture_is_so_in_the_table() -> None:
    """C♯°7 is drawn with an E: lowered it makes E♭7, whose ninth is F♭ where it is spelt by use."""
    lesson = load_lesson(find_data("lessons", "stiff_dominant"))
    rows = last_page(lesson, Figures())["parents"]["rows"]
    assert [row[0] for row in rows] == [
        "B♭ falls to A", "E falls to E♭", "G falls to F♯", "D♭ falls to C",
    ]  # fmt: skip
    assert rows[1][4] == "G rises to A♭, B♭ falls to A♭, D♭ falls to C, E falls to E♭"


@pytest.mark.parametrize("frets", [(0, 1, 0, 1), (1, 2, 1, 2), (2, 3, 2, 3)])
def test_the_exercise_is_spelled_in_thirds(lesson_path: Path, frets: tuple[int, ...]) -> None:
    """A chord of four tones in thirds has four letters, each once, and those are lowered in the
    answers: A°7 is A C E♭ G♭, not F♯ (common practice, no source)."""
    lesson = load_lesson(lesson_path)
    shape = Voicing(UKULELE, frets)
    lesson = replace(lesson, front=replace(lesson.front, shape=shape, shape_chord=easiest(shape)))
    figures = Figures()
    turn = last_page(lesson, figures)["turn"]
    drawn = re.findall(r"the note (\w)( flat| sharp|)", figures.table()[turn["source"]]["alt"])
    signs = {" flat": "♭", " sharp": "♯", "": ""}
    notes = {letter + signs[sign] for letter, sign in drawn}
    assert len({letter for letter, _ in drawn}) == len(drawn) == 4
    assert {row[0].split()[0] for row in turn["answers"]["parents"]["rows"]} == notes


def test_a_shape_at_the_end_of_the_neck_is_moved_down(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    frets = lesson.front.instrument.frets
    top = Voicing(UKULELE, (frets - 1, frets, frets - 1, frets))
    chord = easiest(top)
    lesson = replace(lesson, front=replace(lesson.front, shape=top, shape_chord=chord))
    turn = last_page(lesson, Figures())["turn"]
    assert turn["digits"] == "-".join(str(f - 1) for f in top.frets if f)


def test_another_chord_has_no_exercise(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    front = replace(
        lesson.front, shape=Voicing.parse("0202", UKULELE), shape_chord=Chord.parse("G6")
    )
    page = last_page(replace(lesson, front=front), Figures())
    assert page["moves"] is None and page["turn"] is None and page["parents"] is None
    assert "permission" in said(page)


@pytest.mark.parametrize(
    "shape, name",
    # The fewest accidentals, then the root nearest to C on the line of fifths.  By hand: A C E♭ G♭,
    # E G B♭ D♭ and B D F A♭.
    [("2323", "A°7"), ("0101", "E°7"), ("1212", "B°7")],
)
def test_the_easiest_name(shape: str, name: str) -> None:
    assert easiest(Voicing.parse(shape, UKULELE)).unicode == name


def test_third_and_seventh_are_told_as_they_go(lesson_path: Path) -> None:
    """B flat 7 to E flat, by the trade: its third D rises, its seventh A flat falls to G."""
    text = last_page(load_lesson(lesson_path), Figures())["moves"]["text"][1][0][0]
    assert text.endswith(": those two steps are what the ear waits for.")
    assert "D rises to E♭" in text and "A♭ falls to G" in text and "falls to E♭" not in text


def test_the_shape_of_the_exercise_is_drawn_in_two_sizes_and_without_degrees(
    lesson_path: Path,
) -> None:
    """A large box and the plain one; both name the notes, none says third or root."""
    figures = Figures()
    turn = last_page(load_lesson(lesson_path), figures)["turn"]
    source, small = (figures.table()[turn[name]] for name in ("source", "small"))
    assert source["wide"] == pytest.approx(1.5 * small["wide"])
    assert source["roles"] == small["roles"] == ["note"]
    assert "root" not in source["alt"] + small["alt"]


@pytest.mark.parametrize(
    ("before", "chord", "after", "end", "said"),
    [
        # G7 0212 to C7 0001: by hand, g stays; C, E and A go.
        ("0212", "G7", "0001", "C7", "the g string holds its G and the other three move."),
        ("0001", "C7", "0003", "C", "the E string holds its E and the other moves."),
        ("0003", "C", "2220", "D", "every string moves."),
        ("0212", "G7", "2010", "F", "the E string holds its F and the other three move."),
    ],
)
def test_strings_that_hold_and_those_that_move_are_counted(
    before: str, chord: str, after: str, end: str, said: str
) -> None:
    start = Shown(Voicing.parse(before, UKULELE), Chord.parse(chord))
    home = Shown(Voicing.parse(after, UKULELE), Chord.parse(end))
    told = homeward(start, home)
    assert told.startswith(f"From {chord} to {end} ") and said in told


def test_the_moves_go_to_the_dominant_that_the_lesson_s_clock_shows(lesson_path: Path) -> None:
    """Of D dim7, 4-5-4-5, the strings g C E A lowered give Bb7, E7, G7 and Db7 (by hand)."""
    text = lesson_path.read_text(encoding="utf-8")
    told = []
    for chord in ("", "G7", "E7"):
        clock = f'\n{{{{ clock("{chord}") }}}}\n' if chord else ""
        bare = re.sub(r"\{\{ clock\(.*?\) \}\}", "", text)
        lesson_path.write_text(bare.replace("## The tune", f"{clock}\n## The tune"), "utf-8")
        moves = last_page(load_lesson(lesson_path), Figures())["moves"]
        told.append(moves["text"][0][0][0])
    assert told == [
        "From D°7 to B♭7 one finger moves, on the g string.",
        "From D°7 to G7 one finger moves, on the E string.",
        "From D°7 to E7 one finger moves, on the C string.",
    ]
