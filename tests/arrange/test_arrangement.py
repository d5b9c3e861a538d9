"""Steps and arrangements as values."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_tunes import EAGER, tune_of, tunes

from harmonykit.arrange.arrangement import Arrangement, Step, leading_reason
from harmonykit.arrange.moves import MOVES, Part
from harmonykit.arrange.moves.walk import ASCENDING
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.walks import told_walks, walks
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")


def step(symbol: str, digits: str, onset: int, beats: int, bar: int, move: str = "") -> Step:
    voicing = Voicing.parse(digits, UKULELE)
    return Step(Chord.parse(symbol), voicing, Fraction(onset), Fraction(beats), bar, move)


def example() -> Arrangement:
    steps = (
        step("C6", "0000", 0, 2, 0),
        step("G#dim7", "1212", 2, 2, 0, "leading-tone diminished"),
        step("Am7", "0000", 4, 4, 1),
        Step(None, None, Fraction(8), Fraction(4), 2),
    )
    return Arrangement(tune_of("| C6 | Am7 | N.C. |"), UKULELE, steps, 0, 120)


def test_what_sounds_and_what_was_put_in() -> None:
    found = example()
    assert len(found.sounding) == 3
    assert [str(s.chord) for s in found.added] == ["G#dim7"]
    assert [shape.digits for shape in found.shapes] == ["0-0-0-0", "1-2-1-2"]
    assert [len(bar) for bar in found.bars()] == [2, 1, 1]


def test_a_step_sounds_its_sorted_pitches() -> None:
    """Open strings of a re-entrant instrument: G4 C4 E4 A4."""
    first, *_, silent = example().steps
    assert first.sounds == (60, 64, 67, 69) and silent.sounds == ()
    assert first.told("Because.").reason == "Because." and first.reason == ""


def test_arrangements_are_values() -> None:
    assert example() == example() and hash(example()) == hash(example())


UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
C_SIXTH = SixthDiminished("C", "major")
LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SIGNS = {"♯": 1, "♭": -1}

WAY = r"(?:(?:rises|falls) to [A-G][♯♭]?|stays)"
CLAIM = re.compile(rf"([A-G][♯♭]?) ({WAY}(?: and (?:{WAY}|to [A-G][♯♭]?))*)")


def pitch_class(name: str) -> int:
    """Return the pitch class of a printed name, by a table of letters of our own."""
    return (LETTER[name[0]] + sum(SIGNS[sign] for sign in name[1:])) % 12


def claims(reason: str) -> list[tuple[int, int, int]]:
    """Return from, to and direction of each note that a leading reason names."""
    found = []
    for start, ways in CLAIM.findall(reason.split("; in these shapes ", 1)[1]):
        way = 0
        for said in ways.split(" and "):  # the verb of a note that divides is said once
            way = {"rises": 1, "falls": -1, "stays": 0, "to": way}[said.split()[0]]
            end = start if said == "stays" else said.split()[-1]
            found.append((pitch_class(start), pitch_class(end), way))
    return found


def held(symbol: str, digits: str, instrument: Instrument = UKULELE, written: str = "") -> Step:
    chord = Chord.parse(symbol)
    voicing = Voicing.parse(digits, instrument)
    return Step(chord, voicing, 0, 4, 0, written=Chord.parse(written or symbol))  # type: ignore[arg-type]


def test_each_note_of_the_shape_is_named_root_first() -> None:
    # C sharp dim as G C# E Bb, Dm7 as A D F C: from the lowest, C# 61 to D 62, E 64 to F 65,
    # G 67 to A 69, B flat 70 to C 72.
    said = leading_reason("It leads", held("C#dim7", "0101"), held("Dm7", "2213"))
    assert (
        said
        == "It leads; in these shapes C♯ rises to D, E rises to F, G rises to A, B♭ rises to C."
    )


def test_what_two_shapes_do_is_found_once(monkeypatch: pytest.MonkeyPatch) -> None:
    paired: list[object] = []

    def pairs(low: tuple[int, ...], high: tuple[int, ...]) -> list[tuple[int, int]]:
        paired.append(low)
        return voice_pairs(low, high)

    monkeypatch.setattr("harmonykit.arrange.arrangement.voice_pairs", pairs)
    # No other test here tells of these two.
    before, after = held("F#dim7", "8989"), held("Gm7", "7786")
    told = {leading_reason(head, before, after) for head in ("It leads", "It goes on", "It leads")}
    assert len(told) == 2 and len(paired) == 1


def test_a_note_that_stays_is_said_to_stay() -> None:
    # B dim as A flat D F B (1-2-1-2) to G7 as G D F B (0-2-1-2).
    said = leading_reason("It leads", held("Bdim7", "1212"), held("G7", "0212"))
    assert said == "It leads; in these shapes B stays, D stays, F stays, A♭ falls to G."


def test_the_verb_of_a_note_that_divides_is_said_once() -> None:
    # C4 alone to C4 F4 A4, and both C and G of 0-x-x-3 to four notes (by hand).
    said = leading_reason("X", held("C", "x0xx"), held("C#dim7", "0101"))
    assert said == "X; in these shapes C rises to C♯ and to E."
    said = leading_reason("X", held("C", "0x0x"), held("F", "2010"))
    assert said == "X; in these shapes E falls to C and rises to F, G rises to A."


def test_a_note_that_sounds_twice_is_told_apart_where_its_ways_part() -> None:
    """By hand: A2 E3 A3 C4 E4 go to G2 D3 G3 B3 G4; F#2 F#3 A3 Eb4 go to G2 F3 Bb3 D4."""
    minor = leading_reason("X", held("Am", "x02210", GUITAR), held("G", "3x0003", GUITAR))
    assert minor == (
        "X; in these shapes A falls to G, the lower E falls to D, the higher E rises to G, "
        "C falls to B."
    )
    said = leading_reason("X", held("F#dim", "2x424x", GUITAR), held("Gm7", "3x333x", GUITAR))
    assert said.startswith(
        "X; in these shapes the lower F♯ rises to G, the higher F♯ falls to F, A rises to B♭"
    )
    # One voice that parts goes two ways.
    parts = leading_reason("X", held("Am", "x02210", GUITAR), held("C", "032010", GUITAR))
    assert "the lower A rises to C, the higher A falls to G, E stays" in parts


def test_a_voice_that_leaps_is_not_said_to_rise_or_fall() -> None:
    """By hand: F#2 E3 Bb3 C#4 to F3 A3 C4 E4 is up 11, 5, 2 and 3: no half step down to F."""
    said = leading_reason("X", held("Gb7", "2x232x", GUITAR), held("Fmaj7", "xx3210", GUITAR))
    assert said == "X; in these shapes B♭ rises to C, D♭ rises to E."
    # F2 C3 F3 A3 C4 F4, and the same chord's shape at fret 13: nothing that is heard to go on.
    far = held("Gb", "14-16-16-15-14-14", GUITAR)
    assert leading_reason("X", held("F", "133211", GUITAR), far) == "X."


def test_two_voices_may_share_a_note() -> None:
    """Five voices to four: one note of the four is reached by two."""
    before, after = held("C#dim7", "x45353", GUITAR), held("Dm7", "xx0211", GUITAR)
    said = leading_reason("It leads", before, after)
    assert {start for start, *_ in claims(said)} == {1, 4, 7, 10}
    assert {end for _, end, _ in claims(said)} == {0, 2, 5, 9}


def walked(*row: tuple[str, str, str]) -> tuple[list[Part], list[Step]]:
    """Return parts and steps of a walk on the scale of C6, then what leads to D minor seventh."""
    f_sixth = SixthDiminished("F", "major")
    parts, steps = [], []
    for symbol, digits, written in row:
        step = held(symbol, digits, written=written)
        leads, away = symbol == "C#dim7", symbol == "Bdim7"
        own = None if leads or symbol == "Dm7" else C_SIXTH
        parts.append(Part(
            step.chord, Fraction(0), Fraction(1), 0, scale=own, ways=(1, -1), away=away,
            into=f_sixth if leads else None,
        ))  # fmt: skip
        steps.append(replace(step, move=ASCENDING if own and steps else ""))
    return parts, steps


def test_a_walk_is_told_in_one_sentence() -> None:
    """From the open strings to fret 2 by the scale of C6; C sharp dim leads on to fret 5."""
    parts, steps = walked(
        ("Am7", "0000", "Am7"), ("Bdim7", "1212", "Am7"), ("Am7", "2433", "Am7"),
        ("C#dim7", "3434", "Am7"), ("Dm7", "5555", "Dm7"),
    )  # fmt: skip
    assert list(walks(parts, steps)) == [(0, 2)]
    said = "Walks up the scale of Am7 and enters Dm7 at fret 5 by its own C♯°7, every string "
    said += "moving up."
    told = list(told_walks(parts, steps))
    assert [step.reason for step in told] == ["", said, said, "", ""]
    assert [step.move for step in told[1:3]] == ["ascending walk"] * 2


def test_a_walk_that_turns_and_one_that_comes_to_rest() -> None:
    parts, steps = walked(
        ("C6", "2433", "C6"), ("Bdim7", "1212", "C6"), ("C6", "2433", "C6"),
    )  # fmt: skip
    told = list(told_walks(parts, steps))
    assert told[1].reason == "Walks down the scale of C6 and back, to fret 2."
    assert [step.move for step in told[1:]] == ["descending walk", "ascending walk"]


def test_a_walk_goes_on_into_the_chord_of_the_same_notes() -> None:
    parts, steps = walked(("C6", "0000", "C6"), ("Bdim7", "1212", "C6"), ("Am7", "2433", "Am7"))
    told = list(told_walks(parts, steps))
    assert told[1].reason == "Walks up the scale of C6 on into Am7 at fret 2."


def test_a_home_that_is_not_as_written_says_what_is_added() -> None:
    parts, steps = walked(("C6", "0000", "C"))
    (told,) = told_walks(parts, [replace(steps[0], move=ASCENDING)])
    assert told.reason == (
        "C6 is C with the note A, the chord of the C major sixth-diminished scale."
    )


def check_reasons(arrangement: Arrangement) -> Counter[str]:
    """Hold every reason of an arrangement against its shapes; count what was held."""
    held: Counter[str] = Counter()
    steps = arrangement.steps
    for index, here in enumerate(steps):
        assert bool(here.move) == bool(here.reason)
        if here.reason:
            assert here.reason.endswith(".") and here.reason.count(". ") == 0
        if "; in these shapes " in here.reason:
            assert here.move in LEADING
            check_leading(here, steps[index + 1])
        elif here.move in ("ascending walk", "descending walk"):
            check_walk(steps, index)
        elif here.move in ("suspension", "appoggiatura"):
            check_delayed(steps[index - 1] if index else None, here, steps[index + 1])
        elif here.move == "rootless ninth":
            check_rootless(here)
        elif here.move == "rootless dominant":
            check_replacement(here)
        held[here.move] += 1
    return held


def check_leading(here: Step, after: Step) -> None:
    """Each claim is the way of a voice that leaps no farther than a third; no such is left out."""
    said = claims(here.reason)
    low, high = here.sounds, after.sounds
    near = {(a, b) for a in low for b in high if abs(a - b) <= 4}
    ways = {(a % 12, b % 12, (b > a) - (b < a)) for a, b in near}
    assert said and set(said) <= ways
    root = here.chord.root.pitch_class  # type: ignore[union-attr]
    assert said[0][0] == root or root not in {start for start, *_ in said}
    if len(low) == len(high):
        pairs = {*zip(low, high, strict=True)} & near
        assert set(said) == {(a % 12, b % 12, (b > a) - (b < a)) for a, b in pairs}


LEADING = (
    "leading-tone diminished", "passing diminished", "descending passing diminished",
    "common-tone diminished", "pedal point", "tritone substitution", "four dominants", "backdoor",
)  # fmt: skip


def check_delayed(before: Step | None, here: Step, after: Step) -> None:
    """The note that resolves does so, nothing else moves; a suspension sounded before."""
    assert here.voicing is not None and after.voicing is not None
    ((start, end),) = re.findall(r"^([A-G][♯♭]?) resolves down to ([A-G][♯♭]?); ", here.reason)
    pairs = zip(here.voicing.sounding, after.voicing.sounding, strict=True)
    moved = {(a % 12, b % 12) for a, b in pairs if a != b}
    assert moved == {(pitch_class(start), pitch_class(end))}
    assert all(0 <= a - b <= 3 for a, b in zip(here.sounds, after.sounds, strict=True))
    moving = {a for a, b in zip(here.sounds, after.sounds, strict=True) if a != b}
    prepared = before is not None and bool(moving & set(before.sounds))
    assert here.move == ("suspension" if prepared else "appoggiatura")
    assert here.move in here.reason


def check_rootless(here: Step) -> None:
    """What gives way, what comes for it and what stays are root, ninth and the other three."""
    assert here.chord is not None and here.written is not None
    root = here.written.root.pitch_class
    assert sorted(here.chord.pcs) == sorted((root + n) % 12 for n in (2, 4, 7, 10))
    (stay,) = re.findall(r"; (\S+), (\S+) and (\S+) stay", here.reason)
    assert {pitch_class(name) for name in stay} == {(root + n) % 12 for n in (4, 7, 10)}
    for end, start in re.findall(r"ninth ([A-G][♯♭]?) replaces ([A-G][♯♭]?)", here.reason):
        assert (pitch_class(start), pitch_class(end)) == (root, (root + 2) % 12)


def check_walk(steps: tuple[Step, ...], index: int) -> None:
    """Every string that moves goes the way that the step is named for, by one to three semitones.

    The fret that is said is one at which a chord of the tune is held.
    """
    here, before = steps[index], steps[index - 1] if index else None
    way = 1 if here.move == "ascending walk" else -1
    diminished = here.chord is not None and here.chord.semitones == (0, 3, 6, 9)
    if diminished:
        assert before is not None and before.voicing is not None and here.voicing is not None
        pairs = list(zip(before.voicing.sounding, here.voicing.sounding, strict=True))
        if before.chord is not None and 11 in before.chord.semitones:
            # A major seventh is the leading tone of the diminished one, and stays; so does a ninth.
            pairs = [(low, high) for low, high in pairs if low != high]
        assert all(0 < way * (high - low) <= 3 for low, high in pairs)
    if fret := re.search(r"at fret (\d+)", here.reason):
        lowest = [
            min(f for f in step.voicing.frets if f is not None)
            for step in steps[index:]
            if step.voicing is not None
        ]
        assert int(fret[1]) in lowest


def check_replacement(here: Step) -> None:
    """The notes that stay are the dominant's, the others are its root and its flat ninth."""
    assert here.chord is not None and here.written is not None
    root = here.written.root.pitch_class
    names = re.findall(r"[A-G][♯♭]?(?=,| and| stay)", here.reason.rsplit(";", 1)[1])
    stay = {pitch_class(name) for name in names} - {root}
    assert stay - {(root + 1) % 12} == {(root + n) % 12 for n in (4, 7, 10)}
    if "a half step above, replaces" in here.reason:
        said = r"([A-G][♯♭]?), a half step above, replaces ([A-G][♯♭]?)"
        ((end, start),) = re.findall(said, here.reason)
        assert (pitch_class(start), pitch_class(end)) == (root, (root + 1) % 12)


@given(tunes(bars=4))
def test_reasons_are_true_on_drawn_tunes(tune: Tune) -> None:
    for arrangement in reharmonise(tune, UKULELE, k=2, wishes=Wishes(least_seconds=0.3)):
        check_reasons(arrangement)


@pytest.mark.parametrize("tune", ["heron_landing", "slack_water_waltz"])
@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_reasons_are_true_on_the_tunes_that_ship(tune: str, instrument: Instrument) -> None:
    read = read_tune(find_data("tunes", tune))
    held: Counter[str] = Counter()
    for prefer in ("", "ascending walk"):
        for arrangement in reharmonise(
            read, instrument, k=2, wishes=Wishes(prefer=prefer, weights=EAGER)
        ):
            held += check_reasons(arrangement)
    assert all(
        held[move] for move in ("leading-tone diminished", "rootless dominant", "ascending walk")
    )


@pytest.mark.parametrize("move", list(MOVES))
@given(tune=tunes(bars=4), bass=st.booleans())
@settings(max_examples=settings().max_examples // 2)
def test_reasons_of_each_move_are_true(move: str, tune: Tune, bass: bool) -> None:
    for arrangement in reharmonise(
        tune, UKULELE, [move], k=2, wishes=Wishes(least_seconds=0.2, prefer=move, bass_player=bass)
    ):
        check_reasons(arrangement)


@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_reasons_are_true_with_all_moves(instrument: Instrument) -> None:
    held: Counter[str] = Counter()
    changes = "| C6 | A7 | Em7 | Dm7 | Eb6 | Eb7 | G7 | Gm6 | A7 | Dm7 G7 | C6 | C6 | G7 | C6 |"
    for move in MOVES:
        (way,) = reharmonise(tune_of(changes), instrument, [move], 1, wishes=Wishes(prefer=move))
        held += check_reasons(way)
    # A free renaming is one of the best, not always the very best.
    assert all(held[move] for move in MOVES if move != "chord synonym")


def test_names_have_one_accidental_at_most() -> None:
    """Far from C the chord has double flats; a reason is easy to read."""
    best = reharmonise(
        tune_of("| Gb6 | Gb6 | Abm7 |", key="Gb"), UKULELE, k=1, wishes=Wishes(weights=EAGER)
    )[0]
    assert best.added
    for here in best.added:
        assert "♭♭" not in here.reason and "𝄫" not in here.reason
    assert Note.parse("Ebb").plain().name == "D"
