"""What the ear hears: leading tones, tritones and top lines of well known cadences."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.together.heard import (
    leading_tone,
    line_leads,
    main_moment,
    moments,
    rising_said,
    said_of,
    sung_leads,
    top_line,
    tritone,
)
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Tune
from harmonykit.values import replace

# Aldwell, Schachter and Cadwallader, Harmony and Voice Leading: the leading tone rises to the
# tonic, the seventh falls by step; common practice of jazz for substitutes, no source.
CADENCES = [
    ("G7", "C", ("B", "C"), {("B", "C"), ("F", "E")}),
    ("D7", "Gm", ("F#", "G"), {("F#", "G"), ("C", "Bb")}),
    ("Bdim7", "Cm", ("B", "C"), {("B", "C"), ("F", "Eb")}),
    ("F#dim7", "Gm7", ("F#", "G"), {("F#", "G"), ("C", "Bb")}),
    ("Ab7", "Gm", None, {("C", "Bb"), ("Gb", "G")}),
    ("C", "F", ("E", "F"), None),
    ("Am", "Dm", None, None),
    ("C", "G", None, None),
    # A line that falls over one root is no leading tone.
    ("Am(maj7)", "Am7", None, None),
]


@pytest.mark.parametrize(("chord", "after", "led", "both"), CADENCES)
def test_leading_tone_and_tritone(
    chord: str, after: str, led: tuple[str, str] | None, both: set[tuple[str, str]] | None
) -> None:
    found = leading_tone(Chord.parse(chord), Chord.parse(after))
    assert (found and tuple(str(note) for note in found)) == led
    pair = tritone(Chord.parse(chord), Chord.parse(after))
    assert (pair and {(str(low), str(high)) for low, high in pair}) == both


@pytest.mark.parametrize("name", ["four_dominants", "scale_of_chords"])
def test_what_is_said_is_so_in_semitones(name: str) -> None:
    """The notes named are in their chords, and move as far as is said."""
    for played in load_lesson(name).played:
        found = moments(played.arrangement)
        assert found
        for moment in found:
            chord, after = moment.step.chord, moment.after.chord
            assert chord is not None and after is not None
            if pair := tritone(chord, after):
                assert (pair[0][0].pitch_class - pair[1][0].pitch_class) % 12 == 6
                for note, goal in pair:
                    assert note.pitch_class in chord.pcs and goal.pitch_class in after.pcs
                    assert (goal.pitch_class - note.pitch_class) % 12 in (1, 2, 10, 11)
            assert all(line.endswith(".") for line in said_of(moment))
            assert moment.last - moment.first in (0, 1)


# By hand, from the notes of the chords: what is said of each dominant, and where its loop is.
TOLD = [
    (
        "| C | G7 | C | Am7 | D7 | G7 | C |",
        [
            ("bars 2 and 3", "B of G7 rises a half step to C, the root of C: the leading tone.",
             "The tritone B and F resolves: B rises to C, F falls to E."),
            # 2-2-2-3 to 0-2-1-2: the string that has F sharp falls.
            ("bars 5 and 6", "The tritone F♯ and C moves to another: F♯ falls to F, C falls to B.",
             "The highest notes go C – B."),
        ],
    ),
    (
        "| C | C G7 C |",
        [("bar 2", "B of G7 rises a half step to C, the root of C: the leading tone.",
          "The tritone B and F resolves: B rises to C, F falls to E.")],
    ),
    (
        "| Fm | C7 Fm | Bb7 Eb |",
        [("bars 2 and 3", "E of C7 rises a half step to F, the root of Fm: the leading tone.",
          "The highest notes go B♭ – C."),
         ("bar 3", "D of B♭7 rises a half step to E♭, the root of E♭: the leading tone.",
          "The tritone D and A♭ resolves: D rises to E♭, A♭ falls to G.")],
    ),
    # As the sheet counts: a second pass has its own ending alone, whatever was played before.
    (
        "|: Am |1 Am :|2 F | G7 | C |",
        [("bars 4 and 5", "B of G7 rises a half step to C, the root of C: the leading tone.",
          "The tritone B and F resolves: B rises to C, F falls to E.")],
    ),
    (
        "|: C | F6 |1 G7 :|2 G7 | C |",
        [("bars 3 and 1", "B of G7 rises a half step to C, the root of C: the leading tone.",
          "The tritone B and F resolves: B rises to C, F falls to E.")],
    ),
    ("| C | Am | F |", []),
    ("| Db7 | C |", []),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "told"), TOLD)
def test_the_moments_of_a_tune_are_its_dominants_each_once(
    changes: str, told: list[tuple[str, str, str]]
) -> None:
    way = reharmonise(changes, "ukulele", (), k=1)[0]
    found = moments(way)
    assert [(one.loop, *list(said_of(one))[:2]) for one in found] == told
    assert main_moment(way) == (found[0] if found else None)
    for one in found:
        assert one.before is not None and one.before.onset < one.step.onset < one.after.onset
        assert one.step.bar == one.first
        assert "|1" in changes or one.bars[0] == one.first + 1
        line = list(top_line(one))
        # What stands in a bar before the loop is not heard in it.
        played = [s for s in (one.before, one.step, one.after) if s and s.bar >= one.first]
        tops = [s.voicing.top for s in played if s.voicing]
        assert [
            Note.parse(name.replace("♯", "#").replace("♭", "b")).pitch_class for name in line
        ] == [top % 12 for top in tops]
        last = list(said_of(one))[-1]
        moves = len(set(line)) > 1
        assert last == (
            f"The highest notes go {' – '.join(line)}."
            if moves
            else f"The highest note stays on {line[0]}."
        )


def test_what_is_heard_of_a_chord_is_what_its_shape_has(
    arranged: Callable[..., Arrangement],
) -> None:
    """By hand: G7 as F and B, then C7 as E and B flat: its root is not there to rise to."""
    (two,) = moments(arranged("G7=xx12 | C7=xx01"))
    assert list(said_of(two))[0] == (
        "The tritone B and F moves to another: B falls to B♭, F falls to E."
    )
    (four,) = moments(arranged("G7=0212 | C=0003"))
    assert list(said_of(four))[0] == rising_said(four) != "" == rising_said(two)
    # B flat 7 as A flat and D, then A minor seventh as G and C: no tritone is left, both fall.
    (sub,) = moments(added(arranged("Bb7=12xx | Am7=00xx")))
    assert list(said_of(sub))[0] == "All strings fall."


def test_where_all_strings_go_one_way_no_tritone_resolves(
    arranged: Callable[..., Arrangement],
) -> None:
    """By hand on a ukulele: 1-2-1-2 to 2-4-3-4, 0-1-0-1 to 0-2-3-2, and 3-4-3-4 to 2-3-2-2."""
    (up,) = moments(added(arranged("G#dim7=1212 | A7=2434")))
    assert list(said_of(up)) == [
        "G♯ of G♯°7 rises a half step to A, the root of A7: the leading tone.",
        "The tritone B and F moves to another: B rises to C♯, F rises to G.",
        "The highest notes go B – C♯.",
    ]
    (common,) = moments(added(arranged("Gdim7=0101 | G=0232")))
    assert list(said_of(common)) == ["The root G stays.", "The highest notes go B♭ – B."]
    (down,) = moments(added(arranged("A#dim7=3434 | B7=2322")))
    assert list(said_of(down))[:1] == [
        "The tritone A♯ and E moves to another: A♯ falls to A, E falls to D♯."
    ]
    (all_rise,) = moments(added(arranged("C=0003 | Dm=2555")))
    assert list(said_of(all_rise))[0] == "All strings rise."


_SAID = re.compile(r"([A-G][♯♭𝄪𝄫]*) (?:of \S+ )?(rises|falls)(?: a half step)? to ([A-G][♯♭𝄪𝄫]*)")


@pytest.mark.parametrize("name", ["ukulele", "baritone ukulele", "tenor guitar", "guitar"])
def test_what_is_said_to_rise_or_fall_does_so_on_a_string(name: str) -> None:
    said = 0
    for tune in TUNES:
        for way in reharmonise(tune, name, k=2):
            for one in moments(way):
                first, after = one.step.voicing, one.after.voicing
                assert first is not None and after is not None
                does = {
                    (a % 12, b > a, b % 12)
                    for a, b in zip(first.midi, after.midi, strict=True)
                    if a is not None and b is not None
                }
                for low, verb, high in _SAID.findall(" ".join(said_of(one))):
                    said += 1
                    told = read_note(low).pitch_class, verb == "rises", read_note(high).pitch_class
                    assert told in does, (name, tune, first, after, low, verb, high)
    assert said > 5


def read_note(text: str) -> Note:
    return Note.parse(
        text.replace("♯", "#").replace("♭", "b").replace("𝄪", "##").replace("𝄫", "bb")
    )


TUNES = ("heron_landing", "lantern_ferry", "slack_water_waltz", "tugboat_muster")


def test_no_leading_tone_is_told_of_a_chord_that_does_not_resolve(
    arranged: Callable[..., Arrangement],
) -> None:
    """F sharp of B minor seventh lies below G, but only a tritone or a fifth leads there."""
    (third,) = moments(added(arranged("Bm7=2222 | G6=0202")))
    assert rising_said(third) == "" and main_moment(added(arranged("Bm7=2222 | G6=0202"))) == third
    (fifth,) = moments(added(arranged("C=0003 | F=2010")))
    assert rising_said(fifth) == "E of C rises a half step to F, the root of F: the leading tone."
    (common,) = moments(added(arranged("Cdim7=2323 | C=5433")))
    assert list(said_of(common))[0] == "The root C stays."


def added(way: Arrangement) -> Arrangement:
    """Return an arrangement whose first chord is an added one."""
    first, *rest = way.steps
    return replace(way, steps=(replace(first, move="rootless dominant"), *rest))


def test_a_leading_tone_is_sung_where_the_melody_rises_with_it() -> None:
    """B rises to C over G7 and C in bar 2; in bar 4 it falls to A, E rises to F in bar 6."""
    head = 'format = 1\ntitle = "Ebb"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
    changes = "| C | G7 | C | G7 | Am | C | F |"
    melody = "| G4:4 | D4:2 B4:2 | C5:4 | G4:2 B4:2 | A4:4 | G4:2 E4:2 | F4:4 |"
    tune = Tune.parse(f'{head}changes = "{changes}"\nmelody = "{melody}"\n')
    assert sung_leads(tune) == {(2, Fraction(2)), (6, Fraction(2))}
    chords = {str(chord): chord for chord in tune.chords}
    names = {"C": "E4", "G7": "B3", "Am": "A3", "F": "F4"}
    line = {chords[name]: Note.parse(note) for name, note in names.items()}
    # E of C rises to F; B of G7 goes to E and to A, which no leading tone does.
    assert line_leads(tune, line) == {(6, Fraction(0))}
    line[chords["C"]] = Note.parse("C4")
    assert line_leads(tune, line) == {(2, Fraction(0))}


@pytest.mark.parametrize(
    ("chord", "after", "both"),
    [
        # F lies between E and F sharp of D9, neither its root: it falls, as a seventh does.
        ("G7", "D9", {("B", "C"), ("F", "E")}),
        # F sharp is the root of F#7: F rises to it, though E is as near.
        ("G7", "F#7", {("B", "A#"), ("F", "F#")}),
        # B and F stay in G9: what stays resolves nowhere.
        ("G7", "G9", None), ("G7", "Bdim", None),
        # A whole step is a step, a minor third is none.
        ("Bdim", "A", {("B", "A"), ("F", "E")}), ("Bdim", "G#m", None),
    ],
)  # fmt: skip
def test_a_tritone_goes_by_step_to_the_nearest_notes(
    chord: str, after: str, both: set[tuple[str, str]] | None
) -> None:
    pair = tritone(Chord.parse(chord), Chord.parse(after))
    found = pair and {(str(low), str(high)) for low, high in pair}
    names = {"Fb": "E", "E#": "F"}
    assert (found and {(names.get(a, a), names.get(b, b)) for a, b in found}) == both


def test_of_three_chords_one_may_keep_all_but_one_note() -> None:
    """C E G A to C E G: the A is left out, none moves; C6 to C7: A rises to B flat."""
    way = reharmonise("| C6 | C7 | F |", "ukulele", (), k=1)[0]
    (moment,) = moments(way)
    assert [str(moment.step.chord), str(moment.after.chord)] == ["C7", "F"]
    # The loop is told by the numbers of its bars; the last bar has none behind it.
    assert moment.loop == "bars 2 and 3"
