"""The half that says whether the parts fit: a table whose cells stand under their chords."""

from __future__ import annotations

import io
from itertools import pairwise

import pypdf
import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Path, Text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.fitting import KeyChoice
from harmonykit.lesson.together.pages import fit_halves, fit_rows, said_key, write_parts
from harmonykit.lesson.together.parts import parts_of
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
WIDE, HIGH = 174, 127
FOUR = Tune.parse("| C | Am | F6 | G7 |")
MANY = Tune.parse("| C | Am | F6 | G7 | D7 | E7 | A7 | Dm | Em | Bb |")


def halves_of(tune: Tune, *said: str) -> list[Drawing]:
    return list(fit_halves(tune, parts_of(tune, UKULELE), said))


def test_the_notes_of_each_part_by_hand() -> None:
    """On g C E A: C is 0-0-0-3, Am is 2-0-0-0, F6 is 2-2-1-3 with A, D, F and C, G7 is 0-2-1-2."""
    rows = dict(fit_rows(parts_of(FOUR, UKULELE), FOUR, FOUR.chords))
    assert rows["Usual grips"] == ["G C E", "A C E", "A D F C", "G D F B"]
    assert rows["Bass"] == ["C G", "A E", "F C", "G D"]
    # Third and seventh, or sixth; of a triad third and root.
    assert [set(cell.split()) for cell in rows["Two strings"]] == [
        {"C", "E"}, {"A", "C"}, {"A", "D"}, {"B", "F"},
    ]  # fmt: skip
    assert rows["or the rescue"][0] == rows["or the rescue"][1] == ""
    assert set(rows["or the rescue"][2].split()) <= {"F", "A", "C", "D"}
    assert list(rows).index("or the rescue") == list(rows).index("Usual grips") + 1


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("| F7 D7#5 | Eb F7 | D7#5 Eb |", ["F", "D", "E♭"]),
        ("| F7 | D7#5 Eb | F7 |", ["F C", "D", "E♭"]),
        ("| F7 | D7#5 F7 | D7#5 |", ["F (C)", "D (A♯)"]),
        ("Meter: 3/4 | F7 | D7#5 |", ["F", "D"]),
        ("Meter: 6/8 | F7 | D7#5 |", ["F C", "D A♯"]),
    ],
)
def test_a_bass_has_the_fifths_that_it_strikes(text: str, wanted: list[str]) -> None:
    """In the middle of bars of one chord; in brackets where the chord has other bars, too."""
    tune = Tune.parse(text)
    parts = parts_of(tune, UKULELE)
    assert dict(fit_rows(parts, tune, tune.chords))["Bass"] == wanted
    struck = {
        (change.chord, shape.pcs)
        for bar in tune.bars
        for change in bar.changes
        for _, shape in parts[4].struck(bar, change)
    }
    assert {pc for _, (pc,) in struck} == {pc for c in tune.chords for pc in parts[4].sounds(c)}
    said = "In brackets: a fifth that the bass has only in bars of one chord."
    text = " ".join(
        page.extract_text()
        for page in pypdf.PdfReader(io.BytesIO(write_parts(tune, UKULELE))).pages
    )
    assert (said in " ".join(text.split())) == any("(" in cell for cell in wanted)


def test_each_cell_stands_under_its_chord_and_beside_its_part() -> None:
    (half,) = halves_of(FOUR, "First it is said.", "Then it is said.")
    texts = [text for text in half.sheet.all(Text) if text.text and text.baseline > 17]
    heads = [t for t in texts if t.weight == 600 and t.text in ("C", "Am", "F6", "G7")]
    steps = {round(b.x - a.x, 6) for a, b in pairwise(heads)}
    assert len(heads) == 4 and len({t.baseline for t in heads}) == len(steps) == 1
    assert min(steps) >= 20 and heads[0].x > 25
    names = [t for t in texts if t.x == 0]
    assert [t.text for t in names] == [
        "One finger", "Two strings", "Usual grips", "or the rescue", "Rich grips", "Bass", "Sing",
        "First it is said.", "Then it is said.",
    ]  # fmt: skip
    rows = [t.baseline for t in names[:7]]
    assert {round(b - a, 6) for a, b in pairwise([heads[0].baseline, *rows])} == {6.4}
    assert [t.weight for t in names[:7]] == [600, 600, 600, 400, 600, 600, 600]
    wanted = dict(fit_rows(parts_of(FOUR, UKULELE), FOUR, FOUR.chords))
    for name in names[:7]:
        here = {t.x: t.text for t in texts if t.baseline == name.baseline and t.x > 0}
        assert [here.get(head.x, "") for head in heads] == wanted[name.text]
        assert set(here) <= {head.x for head in heads}
    rules = [path.ends for path in half.sheet.all(Path)]
    assert all(a == (0, y) and b == (WIDE, y) for a, b in rules for y in [a[1]])
    assert [round(a[1], 6) for a, _ in rules[1:]] == [
        round(y + 2.2, 6) for y in (heads[0].baseline, *rows)
    ]
    widths = [path.width for path in half.sheet.all(Path)]
    assert widths[1:-1] == [min(widths)] * 7 and widths[-1] > 2 * min(widths)
    told = [t.baseline for t in names[7:]]
    assert told[1] - told[0] == pytest.approx(5) and 7 < told[0] - rows[-1] < 10


def test_many_chords_stand_in_two_halves_as_even_as_can_be_and_all_is_said_on_the_last() -> None:
    """Ten chords, eight at most on a half: five and five."""
    halves = halves_of(MANY, *[f"Row {n} is said here." for n in range(40)])
    assert len(halves) == 2
    for half, chords in zip(halves, (MANY.chords[:5], MANY.chords[5:]), strict=True):
        names = [chord.unicode for chord in chords]
        heads = [t.text for t in half.sheet.all(Text) if t.size == 13]
        assert heads == names and half.alt.endswith(", ".join(names))
        assert all(t.box.right <= WIDE and t.baseline < HIGH - 3 for t in half.sheet.all(Text))
    said = [[t for t in half.sheet.texts if t.startswith("Row ")] for half in halves]
    assert not said[0] and said[1][:2] == ["Row 0 is said here.", "Row 1 is said here."]
    last = max(t.baseline for t in halves[1].sheet.all(Text))
    assert HIGH - 15 < last
    assert len(halves_of(Tune.parse("| C | Am | F6 | G7 | D7 | E7 | A7 | Dm |"))) == 1


def test_a_long_row_is_broken_at_the_width_of_the_half() -> None:
    (half,) = halves_of(FOUR, "word " * 60, "", "behind")
    lines = [t for t in half.sheet.all(Text) if t.text.startswith("word")]
    assert len(lines) > 1 and all(WIDE - 20 < t.box.right <= WIDE for t in lines[:-1])
    (behind,) = [t for t in half.sheet.all(Text) if t.text == "behind"]
    assert behind.baseline - lines[-1].baseline == pytest.approx(10)


@pytest.mark.parametrize(
    ("capo", "known", "outside", "easy", "said"),
    [
        (0, 3, None, False, "In C major: 3 of 4 chords have a known grip."),
        (0, 4, 0, True, "In C major: 4 of 4 chords have an easy grip; the melody fits the voices."),
        (0, 2, 1, False,
         "In C major: 2 of 4 chords have a known grip; "
         "the melody goes 1 half step beyond the voices."),
        (2, 2, 2, False, "In C major, played in B♭ major with a capo at fret 2: 2 of 4 chords "
         "have a known grip; the melody goes 2 half steps beyond the voices."),
    ],
)  # fmt: skip
def test_a_key_in_a_line(
    capo: int,
    known: int,
    outside: int | None,
    easy: bool,
    said: str,  # noqa: FBT001
) -> None:
    played = Key.parse("Bb" if capo else "C")
    key = KeyChoice(Key.parse("C"), played, capo, known, 4, outside)
    assert said_key(key, easy=easy) == said


def test_three_keys_are_told_under_the_table() -> None:
    text = "".join(
        page.extract_text()
        for page in pypdf.PdfReader(io.BytesIO(write_parts(FOUR, UKULELE))).pages
    )
    assert "Keys, the best first:" in text
    assert text.count("chords have an easy grip") == 3
