"""The marks that say what a note does in its chord, and its role in words."""

from __future__ import annotations

import pytest
from lawful import ink

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import (
    MARK_WORDS,
    ROLES,
    degree_label,
    degree_word,
    draw_key,
    draw_mark,
    half_width,
    mark_drawing,
    role_of,
)
from harmonykit.draw.tree import Mark, Path, Text
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note


def drawn(role: str, letter: str = "") -> Mark:
    canvas = Canvas(10, 10)
    draw_mark(canvas, 5, 5, role, 4.2, letter)
    (mark,) = canvas.drawing("m", "m").sheet.all(Mark)
    return mark


def paths(role: str) -> list[Path]:
    return [part for part in drawn(role).parts if isinstance(part, Path)]


def test_shapes_differ_without_their_colours() -> None:
    canvases = {}
    for role in ROLES:
        canvas = Canvas(10, 10, "one ink")
        draw_mark(canvas, 5, 5, role, 4.2)
        canvases[role] = canvas.drawing("m", "m").svg
    assert len(set(canvases.values())) == len(ROLES)


def test_letters_stand_out_from_their_mark() -> None:
    for role in ("note", "root", "third", "seventh", "fifth", "was", "tension"):
        mark = drawn(role, "C")
        letter = mark.parts[-1]
        assert mark.letter == "C" and isinstance(letter, Text)
        ground = [path.fill for path in paths(role) if path.fill][-1]
        assert (ground == "paper") != (letter.colour == "paper")


def test_the_ring_of_where_it_was_has_twelve_dashes() -> None:
    dashed = paths("was")[-1]
    assert 3.14159265 * dashed.box.width / sum(dashed.dash) == pytest.approx(12)


@pytest.mark.parametrize("role", ROLES)
def test_a_mark_alone_fits_its_sheet(role: str) -> None:
    drawing = mark_drawing(role)
    assert drawing.width_mm == pytest.approx(5.88)
    assert ROLES[role].split()[0] in drawing.alt


@pytest.mark.parametrize("role", ROLES)
def test_no_mark_is_wider_than_is_said(role: str) -> None:
    reach = 0.0
    for path in paths(role):
        # Mitred, a line around a turned square reaches root two times its half width.
        half = path.width / 2 * (2**0.5 if role == "tension" else 1)
        reach = max(reach, path.box.right - 5 + half)
    assert reach / 4.2 == pytest.approx(half_width(role), abs=0.05)


def test_the_key_lists_the_marks_that_are_used_in_one_order() -> None:
    key = draw_key(["tension", "root"])
    assert key.sheet.texts == ("root", "tension") and key.alt == "The marks: root, tension"
    # Each mark stands left of its own word.
    assert [mark.role for mark in key.sheet.all(Mark)] == ["root", "tension"]
    one, other = zip(key.sheet.all(Mark), key.sheet.all(Text), strict=True)
    assert one[0].x < one[1].x < other[0].x < other[1].x
    assert draw_key(ROLES).width_mm < 174


# Common practice, no source: the role of each tone, written out by hand.
TONES = {
    "C": "C root E third G fifth",
    "Am7": "A root C third E fifth G seventh",
    "C6": "C root E third G fifth A seventh",
    "Bm7b5": "B root D third F fifth A seventh",
    "G7b9": "G root B third D fifth F seventh Ab tension",
    "G7#5": "G root B third D# tension F seventh",
    "G7b5": "G root B third Db tension F seventh",
    "D13": "D root F# third A fifth C seventh E tension G tension B tension",
    "Gsus4": "G root C tension D fifth",
    "Edim7": "E note G note Bb note Db note",
    "E5": "E root B fifth",
}


@pytest.mark.parametrize(("symbol", "tones"), TONES.items())
def test_each_tone_has_its_role(symbol: str, tones: str) -> None:
    chord = Chord.parse(symbol)
    words = tones.split()
    for name, role in zip(words[::2], words[1::2], strict=True):
        assert role_of(chord, Note.parse(name).pitch_class) == role, name


def test_a_note_outside_the_chord_is_a_plain_note() -> None:
    assert role_of(Chord.parse("C/D"), 2) == "note"
    assert role_of(None, 2) == "note"
    assert degree_word(Chord.parse("C/D"), 9) == degree_word(None, 2) == ""
    assert degree_word(Chord.parse("C/D"), 2) == "the bass"


def test_degrees_are_said_in_words() -> None:
    said = [degree_word(Chord.parse("Cdim7"), pc) for pc in (0, 3, 6, 9)]
    assert said == ["the root", "the minor third", "the flat fifth", "the diminished seventh"]
    said = [degree_word(Chord.parse("C7#9"), pc) for pc in (4, 10, 3)]
    assert said == ["the major third", "the flat seventh", "the sharp ninth"]
    assert degree_word(Chord.parse("Cmaj7"), 11) == "the major seventh"


def test_degrees_are_printed_from_the_root() -> None:
    """The spelled degrees of these chords are common practice, no source."""
    labels = {
        "Cdim7": "1 ♭3 ♭5 𝄫7",
        "G7b9": "1 3 5 ♭7 ♭9",
        "F#m7b5": "1 ♭3 ♭5 ♭7",
        "C7#5": "1 3 ♯5 ♭7",
    }
    for symbol, said in labels.items():
        chord = Chord.parse(symbol)
        assert " ".join(degree_label(chord, n.pitch_class) for n in chord.tones) == said
    assert degree_label(None, 0) == degree_label(Chord.parse("C"), 1) == ""


@pytest.mark.parametrize("used", [["root"], ["root", "third", "tension"], [*MARK_WORDS], []])
def test_a_key_sets_marks_and_words_in_one_line(used: list[str]) -> None:
    """By hand: a mark's middle 2.8 mm behind the begin of its entry, its word at 7, 5 between."""
    key = draw_key(used)
    marks, words = key.sheet.all(Mark), [t for t in key.sheet.all(Text) if t.anchor == "left"]
    assert [m.role for m in marks] == used and [t.text for t in words] == [
        MARK_WORDS[role] for role in used
    ]
    start = 0.0
    for mark, word in zip(marks, words, strict=True):
        assert (mark.x, mark.y, mark.d) == (pytest.approx(start + 2.8), 3.0, 4.2)
        assert word.x == pytest.approx(start + 7) and (word.size, word.weight) == (8.5, 400)
        assert ink(word).middle[1] == pytest.approx(3.0, abs=0.03)
        # Fingers bear a number, which no other mark does.
        assert mark.letter == ("1" if mark.role in ("stays", "slides") else "")
        start = word.box.right + 5
    assert key.height_mm == 6.0
    if used:
        assert key.width_mm == pytest.approx(words[-1].box.right + 0.5, abs=0.001)
    tails = [p for p in key.sheet.parts if isinstance(p, Path)]
    assert len(tails) == ("slides" in used)
    for tail in tails:
        (at,) = [m for m in marks if m.role == "slides"]
        # From two thirds of a mark above its middle down to it, as wide as a third of it.
        assert tail.ends == ((at.x, pytest.approx(3.0 - 0.68 * 4.2)), (at.x, 3.0))
        assert tail.width == pytest.approx(0.3 * 4.2)


@pytest.mark.parametrize("role", MARK_WORDS)
@pytest.mark.parametrize("d", [3.2, 4.2, 8.0])
def test_a_mark_grows_with_all_its_lines(role: str, d: float) -> None:
    """Of twice the size every length is twice as long, and it lies about its middle."""
    canvas = Canvas(40, 40)
    for size in (1.0, d):
        draw_mark(canvas, 20, 20, role, size)
    one, other = canvas.drawing("marks", "marks").sheet.all(Mark)
    for small, large in zip(one.parts, other.parts, strict=True):
        assert isinstance(small, Path) and isinstance(large, Path)
        assert large.width == pytest.approx(d * small.width)
        assert large.dash == pytest.approx(tuple(d * each for each in small.dash))
        assert large.box.width == pytest.approx(d * small.box.width)
        assert large.box.middle == pytest.approx((20, 20))
        assert (large.fill, large.stroke, large.join) == (small.fill, small.stroke, small.join)


def test_a_long_letter_in_an_open_diamond_is_smaller() -> None:
    for role, letter, size in (
        ("tension", "D♭", 8.5), ("tension", "D", 10.0), ("root", "D♭", 10.0), ("fifth", "D♭", 10.0),
    ):  # fmt: skip
        canvas = Canvas(20, 20)
        draw_mark(canvas, 10, 10, role, 6.6, letter)
        (text,) = canvas.drawing("mark", "mark").sheet.all(Text)
        assert (text.text, text.size, text.weight) == (letter, size, 600)
