"""That each part moves as little as it can: every way of playing it is tried."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise, product

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.parts import BASS, ONE, RICH, SING, TWO, Part, guide_pcs, parts_of
from harmonykit.theory.chord import Chord, Note
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
CHANGES = (
    "| C | F G7 | C | Am |",
    "| Ebmaj7 | Bbm7 Eb7 | Abm6 |",
    "| F#m7b5 | B7 | Em | Em |",
    "| Dbsus4 | Ab+ Ddim7 |",
    "| C5 | N.C. | Eb5 C5 |",
)
Choice = tuple[int, ...]


def part(name: str, tune: Tune, instrument: Instrument = UKULELE, **given: ClassFile) -> Part:
    return next(one for one in parts_of(tune, instrument, **given) if one.name == name)


def cost_of(tune: Tune, taken: Mapping[Chord, Choice], own: Callable[[Chord, Choice], int]) -> int:
    """Each fret that a finger moves counts ten; how hard each place is is counted once."""
    row = [taken[change.chord] for change in tune.changes if change.chord is not None]
    moved = sum(abs(a - b) for one, other in pairwise(row) for a, b in zip(one, other, strict=True))
    return 10 * moved + sum(own(chord, choice) for chord, choice in taken.items())


def least(
    tune: Tune, choices: Mapping[Chord, Sequence[Choice]], own: Callable[[Chord, Choice], int]
) -> int | None:
    """Return the cost of the cheapest of all ways; None where a chord has no choice."""
    ways = (dict(zip(choices, way, strict=True)) for way in product(*choices.values()))
    return min((cost_of(tune, way, own) for way in ways), default=None)


# Round after round: a finger would rather stay high than move, on fret 4, 5 or, if it might, 6.
ROUNDS = ("E5 | Fm | B+ | A", "Ab5 | Ebdim | E+ | B5", "Eb5 | F#dim | B5 | F#m", "Eb | Ab5 | F#")


@pytest.mark.parametrize("name", ["ukulele", "mandolin"])
@pytest.mark.parametrize(
    "changes", [*CHANGES[:4], *(" | ".join(["", *[r] * 3, ""]) for r in ROUNDS)]
)
def test_one_finger_lies_low_and_moves_little(changes: str, name: str) -> None:
    """Up to fret 5, of two ways that move alike the lower one, of two strings the first."""
    tune, neck = Tune.parse(changes), Instrument.named(name)
    one = part(ONE, tune, neck)
    (string,) = one.strings
    ways = [
        least(
            tune,
            {c: [(f,) for f in range(6) if (open_ + f) % 12 in c.pcs] for c in tune.chords},
            lambda _, choice: choice[0],
        )
        for open_ in neck.midi
    ]
    cheapest = min(cost for cost in ways if cost is not None)
    frets = {chord: (shape.frets[string] or 0,) for chord, shape in one.shapes.items()}
    assert cost_of(tune, frets, lambda _, choice: choice[0]) == cheapest
    assert string == ways.index(cheapest)


def test_one_finger_goes_higher_where_no_string_has_a_tone_of_each_chord_below() -> None:
    """F sharp and C sharp lie above fret 5 of g, B and F sharp of c, E flat of e, A flat of a."""
    tune = Tune.parse("| F#5 B5 | Eb5 Ab5 |")
    one = part(ONE, tune)
    assert len(one.strings) == 1
    assert all(one.sounds(chord) <= set(chord.pcs) for chord in tune.chords)
    assert max(shape.highest_fret for shape in one.shapes.values()) in (6, 7)


def _on_two(chord: Chord, pair: Choice, highest: int, widest: int) -> Iterator[Choice]:
    for one, other in product(range(highest + 1), repeat=2):
        sounds = {(pair[0] + one) % 12, (pair[1] + other) % 12}
        if sounds == guide_pcs(chord) and (0 in (one, other) or abs(one - other) <= widest):
            yield one, other


def _two_by_force(tune: Tune, neck: Instrument) -> tuple[int, int] | None:
    """Return the cost and the lower string of the cheapest way on two strings.

    Up to fret 7 and three frets apart; where a chord is out of reach up to 9 and four, then up to
    12 and five; of two pairs as good as each other the later one (common practice, no source).
    """
    for highest, widest in ((7, 3), (9, 4), (12, 5)):
        found = []
        for low, pair in enumerate(pairwise(neck.midi)):
            choices = {c: list(_on_two(c, pair, highest, widest)) for c in tune.chords}
            cost = least(tune, choices, _of_two)
            if cost is not None:
                found.append((cost, -low))
        if found:
            cost, low = min(found)
            return cost, -low
    return None


def _of_two(_: Chord, frets: Choice) -> int:
    return 2 * max(frets) + abs(frets[0] - frets[1])


# Strings close together and far apart: what one reaches low, another reaches high or not at all.
NECKS = ["ukulele", "mandolin", "C4 C4 C4", "C4 D4 E4", "C4 F4 Bb4", "C4 F#4 C5", "C4 B4 Bb5"]


@pytest.mark.parametrize("neck", NECKS)
def test_two_strings_lie_low_and_move_little(neck: str) -> None:
    strings = Instrument.parse(neck, "three") if " " in neck else Instrument.named(neck)
    kinds = ("", "7", "maj7", "m6", "sus4", "m7b5")
    roots = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    tunes = [f"| {root}{kind} |" for kind in kinds for root in roots]
    if " " not in neck:
        tunes = [*tunes[:12], *CHANGES]
    for changes in tunes:
        tune = Tune.parse(changes)
        wanted = _two_by_force(tune, strings)
        try:
            two = part(TWO, tune, strings)
        except HarmonyError as error:
            if "no grip" not in error.what:
                assert wanted is None and "cannot be played on two strings" in error.what
                assert (
                    error.rule == "two tones of each chord on two adjacent strings, up to fret 12"
                )
            continue
        first, second = two.strings
        assert second == first + 1
        frets = {
            chord: (shape.frets[first] or 0, shape.frets[second] or 0)
            for chord, shape in two.shapes.items()
        }
        assert (cost_of(tune, frets, _of_two), first) == wanted


@pytest.mark.parametrize("voices", [("A3", "C5"), ("G3", "D4"), ("C4", "E5")])
@pytest.mark.parametrize("changes", CHANGES)
def test_a_line_stays_in_the_voices_and_moves_little(changes: str, voices: tuple[str, str]) -> None:
    """A half step from the middle of the voices counts three; a tone that tells little, thirty."""
    tune = Tune.parse(changes)
    low, high = map(Note.parse, voices)
    ours = replace(ClassFile("Ours", (UKULELE,)), lowest=low, highest=high)
    line = part(SING, tune, knows=ours).line
    middle = (low.midi + high.midi) // 2

    def own(chord: Chord, one: Choice) -> int:
        return 3 * abs(one[0] - middle) + 30 * (one[0] % 12 not in guide_pcs(chord))

    choices = {
        c: [(m,) for m in range(low.midi, high.midi + 1) if m % 12 in c.pcs] for c in tune.chords
    }
    found = {chord: (note.midi,) for chord, note in line.items()}
    assert cost_of(tune, found, own) == least(tune, choices, own)
    assert all(low.midi <= note.midi <= high.midi for note in line.values())
    # Each note has the name that its chord gives it.
    assert all(n.name in {t.name for t in chord.notes} for chord, n in line.items())


def test_who_gives_no_class_sings_from_a_to_c() -> None:
    """The middle of A3 and C5 is F sharp or G: of D7, whose third is F sharp, that is sung."""
    (note,) = part(SING, Tune.parse("| D7 |")).line.values()
    assert str(note) == "F#4"
    (note,) = part(SING, Tune.parse("| Bbm |")).line.values()
    # D flat is the third, and lies as far above G4 (67) as the other D flat lies below: 66 is half.
    assert note.midi in (61, 70)


def test_a_line_leaves_narrow_voices_by_as_little_as_it_can() -> None:
    """C sharp, E and G sharp all lie outside A3 to C4: a half step outside on both sides."""
    ours = replace(ClassFile("Ours", (UKULELE,)), lowest=Note.parse("A3"), highest=Note.parse("C4"))
    line = part(SING, Tune.parse("| C#m | A |"), knows=ours).line
    assert [str(note) for note in line.values()] in (["G#3", "A3"], ["C#4", "C#4"])


# The lowest place of each note on the strings E A D G in first position, frets 0 to 4: the string,
# counted from the lowest, and the fret (common practice, no source).
FIRST_POSITION = {
    "E": (0, 0), "F": (0, 1), "F#": (0, 2), "G": (0, 3), "G#": (0, 4), "A": (1, 0),
    "Bb": (1, 1), "B": (1, 2), "C": (1, 3), "C#": (1, 4), "D": (2, 0), "Eb": (2, 1),
}  # fmt: skip


@pytest.mark.parametrize("root", FIRST_POSITION)
def test_a_bass_plays_the_root_or_the_bass_note_and_then_the_fifth(root: str) -> None:
    place = Note.parse(root).pitch_class

    def at(semitones: int) -> tuple[int | None, ...]:
        names = {Note.parse(name).pitch_class: found for name, found in FIRST_POSITION.items()}
        string, fret = names[(place + semitones) % 12]
        return tuple(fret if n == string else None for n in range(4))

    third = Chord.parse(root).notes[1].name
    tune = Tune.parse(f"| {root} | {root}dim | {root}+ | {root}/{third} | {root}sus4 |")
    bass = part(BASS, tune)
    whole, flat, sharp, slash, hung = tune.chords
    assert str(bass.instrument.labels) == str(Instrument.parse("E1 A1 D2 G2", "bass").labels)
    firsts = {chord: shape.frets for chord, shape in bass.shapes.items()}
    assert firsts == {whole: at(0), flat: at(0), sharp: at(0), slash: at(4), hung: at(0)}
    fifths = {chord: shape.frets for chord, shape in bass.fifths.items()}
    assert fifths == {whole: at(7), flat: at(6), sharp: at(8), slash: at(7), hung: at(7)}


SUNG = """format = 1
title = "Nets"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| {changes} |"
melody = "{melody}"
"""


@pytest.mark.parametrize(
    ("melody", "names"),
    [
        # C6 adds A; F6 adds D; Cadd9 and Fadd9 add D and G.
        ("| C5:4 | F4:4 |", ["C6", "F6"]),
        # A half step from A, below and above: C takes its ninth; from D: F takes its own.
        ("| G#4:4 | C#5:4 |", ["Cadd9", "Fadd9"]),
        ("| Bb4:4 | Eb5:4 |", ["Cadd9", "Fadd9"]),
        # A half step from both: the plain chord stays.
        ("| G#4:2 C#5:2 | C#5:2 G#4:2 |", ["C", "F"]),
        # A quarter that lies in one chord is long, one that lies half over each is not.
        ("| C5:3 G#4:1 | F4:4 |", ["Cadd9", "F6"]),
        ("| C5:3 C5:1 | C#5:1 F4:3 |", ["C6", "Fadd9"]),
    ],
)
def test_a_rich_grip_leaves_out_what_grates_on_the_melody(melody: str, names: list[str]) -> None:
    rich = part(RICH, Tune.parse(SUNG.format(changes="C | F", melody=melody)))
    assert list(rich.names.values()) == names
    for chord, name in rich.names.items():
        added = set(Chord.parse(name).pcs) - set(chord.pcs)
        assert rich.sounds(chord) <= set(Chord.parse(name).pcs)
        assert bool(added) == bool(added & rich.sounds(chord)) == (name != chord.unicode)


@pytest.mark.parametrize(
    ("melody", "names"),
    [
        # Half a quarter over F, half over C; then a whole one over each.
        ("| C5:3/2 C#5:1 F4:3/2 |", ["C6", "F6"]),
        ("| C5:1 C#5:2 F4:1 |", ["C6", "Fadd9"]),
        ("| C5:3/2 G#4:1 F4:3/2 |", ["C6", "F6"]),
        ("| C5:1 G#4:2 F4:1 |", ["Cadd9", "F6"]),
        # A short note that lies in one chord alone is heard over it.
        ("| C5:3/2 C#5:1/2 C#5:1/2 F4:3/2 |", ["C6", "Fadd9"]),
    ],
)
def test_what_is_sung_over_two_chords_is_heard_over_each_for_its_part(
    melody: str, names: list[str]
) -> None:
    rich = part(RICH, Tune.parse(SUNG.format(changes="C F", melody=melody)))
    assert list(rich.names.values()) == names


@pytest.mark.parametrize(
    ("name", "richer"),
    [
        ("C", ("C6", "Cadd9")), ("C6", ("C69",)), ("Cm", ("Cm7",)), ("Cm7", ("Cm9",)),
        ("Cm6", ("Cm69",)), ("C7", ("C9", "C13")), ("Cmaj7", ("Cmaj9",)), ("Cdim", ("Cdim7",)),
    ],
)  # fmt: skip
def test_each_kind_of_chord_has_a_richer_one(name: str, richer: tuple[str, ...]) -> None:
    """A sixth or a ninth is added, and the chord stays what it is (common practice, no source)."""
    tune = Tune.parse(f"| {name} |")
    found = Chord.parse(part(RICH, tune).names[tune.chords[0]])
    assert found.pcs in {Chord.parse(each).pcs for each in richer}


@pytest.mark.parametrize(
    ("changes", "kept"),
    [
        ("| Cm | Cm(maj7) | Cm7 | F7 |", ("Cm", "Cmmaj7", "Cm7")),
        ("| C | Cmaj7 | C7 | F |", ("C", "Cmaj7", "C7")),
        ("| Dm | Dm/C | G7 | C |", ("Dm", "Dm/C")),
    ],
)
def test_a_line_in_chords_of_one_root_stays_as_written(changes: str, kept: tuple[str, ...]) -> None:
    """C – B – B♭ over C minor is the tune's own line, spoilt by a seventh (common practice)."""
    tune = Tune.parse(changes)
    names = part(RICH, tune).names
    assert [names[Chord.parse(name)] for name in kept] == [Chord.parse(n).unicode for n in kept]
    last = tune.chords[-1]
    assert names[last] != last.unicode
