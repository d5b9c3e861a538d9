"""A part for everyone: notes, ranges and times of every shipped tune."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from itertools import product

import pypdf
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.bars import cells_of
from harmonykit.lesson.together.fitting import key_choices, pairs_beside, said_beside, said_fit
from harmonykit.lesson.together.pages import write_parts
from harmonykit.lesson.together.parts import (
    BASS,
    NAMES,
    ONE,
    RICH,
    SING,
    TWO,
    USUAL,
    guide_pcs,
    parts_of,
)  # fmt: skip
from harmonykit.lesson.together.sheet import draw_parts
from harmonykit.lesson.together.stems import stems_of
from harmonykit.paths import shipped
from harmonykit.score.files import as_tune
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Tune

C6 = Chord.parse("C6")
UKULELE = Instrument.named("ukulele")
# A repeat with two endings, and a dominant that resolves.
PICKED_UP = """format = 1
title = "Nets"
key = "C"
meter = "4/4"
pickup = 1
[[sections]]
name = "A"
changes = "| C | F | G7 | C | Am |"
"""
REPEATED = "|: C | Am |1. F | G7 :|2. G7 | C |"


@pytest.fixture(scope="module", params=shipped("tunes"))
def tune(request: pytest.FixtureRequest) -> Tune:
    return as_tune(str(request.param))


def test_every_part_sounds_tones_of_its_chord_within_its_hand(tune: Tune) -> None:
    parts = {part.name: part for part in parts_of(tune, UKULELE)}
    assert tuple(parts) == NAMES
    assert len(parts[ONE].strings) == 1 and len(parts[TWO].strings) == 2
    for chord in tune.chords:
        tones = set(chord.pcs)
        for part in (ONE, TWO, USUAL, BASS):
            assert parts[part].sounds(chord) <= tones
        assert parts[TWO].sounds(chord) == guide_pcs(chord)
        assert chord.bass.pitch_class in parts[BASS].sounds(chord)
        rich = Chord.parse(parts[RICH].names[chord].replace("♭", "b").replace("♯", "#"))
        assert parts[RICH].sounds(chord) <= set(rich.pcs)
        if chord in parts[USUAL].rescues:
            assert set(parts[USUAL].rescues[chord].pcs) <= tones
        assert max(shape.highest_fret for shape in parts[ONE].shapes.values()) <= 5
    assert bool(parts[SING].line) != bool(tune.melody)


def test_one_finger_moves_as_little_as_on_any_string() -> None:
    """Every choice of a tone for each chord is tried, on each string."""
    tune = as_tune("slack_water_waltz")
    chords = tune.chords
    order = [chords.index(c.chord) for c in tune.changes if c.chord is not None]
    one = parts_of(tune, UKULELE)[0]
    (string,) = one.strings
    found = [one.shapes[chord].frets[string] or 0 for chord in chords]

    def way(frets: tuple[int, ...]) -> int:
        return sum(abs(frets[a] - frets[b]) for a, b in zip(order, order[1:], strict=False))

    least = min(
        way(frets)
        for pitch in UKULELE.midi
        for frets in product(
            *([f for f in range(6) if (pitch + f) % 12 in set(chord.pcs)] for chord in chords)
        )
    )
    assert way(tuple(found)) == least


def test_added_tones_are_no_half_step_from_a_long_note_of_the_melody(tune: Tune) -> None:
    rich = parts_of(tune, UKULELE)[3]
    for sung in tune.melody:
        for change in tune.changes:
            over = min(sung.onset + sung.beats, change.onset + change.beats)
            if change.chord and over - max(sung.onset, change.onset) >= 1:
                added = rich.sounds(change.chord) - set(change.chord.pcs)
                assert not {(sung.note.midi + 1) % 12, (sung.note.midi - 1) % 12} & added


def test_parts_of_one_chord_fit_and_a_diminished_seventh_beside_its_chord_does_not() -> None:
    c, bdim = frozenset(Chord.parse("C6").pcs), frozenset(Chord.parse("Bdim7").pcs)
    assert pairs_beside(c, frozenset({11}), Chord.parse("Cmaj7")) == 0
    # B beside C, D beside none, F beside E, Ab beside G and A: four pairs.
    assert pairs_beside(c, bdim, Chord.parse("C6")) == 4


def test_levels_that_clash_take_turns_where_they_do(
    arranged: Callable[..., Arrangement],
) -> None:
    plain = arranged("C6=0000 | G7=0212")
    parts = parts_of(plain.tune, UKULELE)
    assert said_fit(parts, plain.tune) == ("All together in every bar.",)
    written = [replace(step, written=step.chord) for step in plain.steps]
    named = replace(plain, name="Plain", steps=tuple(written))
    assert list(said_beside(parts, [named])) == ["Plain: together with every part."]
    written[0] = replace(
        written[0], chord=Chord.parse("Bdim7"), voicing=Voicing.parse("1212"), written=C6
    )
    (told,) = said_beside(parts, [replace(named, name="Odd", steps=tuple(written))])
    assert told.startswith("Odd: clashes with ") and "in bar 1" in told and "bar 2" not in told


def test_a_class_plays_the_grips_that_it_knows() -> None:
    ours = ClassFile.of("Ours", UKULELE, "C 0003", "Bb 3211", "G7 0212")
    usual = parts_of(Tune.parse("| C | B | G7 | D |"), UKULELE, ours)[2]
    # Four frets up, at the seventh fret, B flat would be D: a book's D lies at the second.
    assert [shape.digits for shape in usual.shapes.values()] == [
        "0-0-0-3", "4-3-2-2", "0-2-1-2", "2-2-2-0",
    ]  # fmt: skip


def test_a_second_ending_stands_under_the_first() -> None:
    places = [(cell.bar.number, cell.row, cell.column) for cell in cells_of(Tune.parse(REPEATED))]
    assert [(row, column) for _, row, column in places] == [
        (0, 0), (0, 1), (0, 2), (0, 3), (1, 2), (1, 3),
    ]  # fmt: skip


def test_a_pick_up_stands_before_the_first_column() -> None:
    tune = Tune.parse(PICKED_UP)
    assert [(cell.row, cell.column) for cell in cells_of(tune)] == [
        (0, -1), (0, 0), (0, 1), (0, 2), (0, 3), (1, 0),
    ]  # fmt: skip


def test_bars_have_the_numbers_of_the_sheet() -> None:
    """AABA of eight bars each: the first bar is bar 9 and bar 25, and B begins with bar 17."""
    ferry = as_tune("lantern_ferry")
    halves = draw_parts(ferry, parts_of(ferry, UKULELE)[:2])
    for half in halves:
        texts = set(half.sheet.texts)
        assert {"1 · 9 · 25", "8 · 16 · 32", "17", "24", "A", "B"} <= texts
        assert any("play A A B A" in text for text in texts)


def test_keys_are_ordered_by_grips_then_range_and_a_capo_sounds_what_it_says(tune: Tune) -> None:
    ours = ClassFile.of("Ours", UKULELE, "C 0003", "F 2010", "G7 0212", "Am 2000", "C7 0001")
    keys = key_choices(tune, UKULELE, ours)
    assert len({key.sounds.tonic.pitch_class for key in keys}) == 12
    order = [(-key.known, key.outside or 0) for key in keys]
    assert order == sorted(order)
    for key in keys:
        way = key.sounds.tonic.pitch_class - key.played.tonic.pitch_class
        assert way % 12 == key.capo <= 5
        if key.lowest is not None and key.highest is not None and key.outside is not None:
            assert key.outside == max(0, 57 - key.lowest) + max(0, key.highest - 72)


def test_stems_have_the_same_time_and_sound_their_part() -> None:
    tune = as_tune("bell_on_the_bar")
    stems = dict(stems_of(tune, UKULELE))
    parts = parts_of(tune, UKULELE)
    assert len(stems) == len(parts)
    clicks = {tuple(event.onset for event in each.clicks) for each in stems.values()}
    assert len(clicks) == 1
    for part, performance in zip(parts, stems.values(), strict=True):
        heard = {event.midi % 12 for event in performance.tones}
        assert heard
        if part.shapes and part.name != BASS:
            assert heard == {pc for shape in part.shapes.values() for pc in shape.pcs}
    assert [e.midi for e in stems["part-6-sing"].tones] == [n.note.midi for n in tune.melody]


def test_the_pages_hold_every_part_in_halves() -> None:
    data = write_parts(Tune.parse(REPEATED), Instrument.named("guitar"))
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    text = "".join(page.extract_text() for page in pages)
    assert len(pages) == 4 and all(name in text for name in (*NAMES, "Do they fit?"))


def test_a_chord_without_a_third_has_root_and_fifth_on_two_strings() -> None:
    tune = Tune.parse("| C5 Csus4 | Bm C+ |")
    for name in ("ukulele", "guitar", "mandolin"):
        two = parts_of(tune, Instrument.named(name))[1]
        heard = [sorted(two.sounds(chord)) for chord in tune.chords]
        assert heard == [[0, 7], [0, 5], [2, 11], [0, 4]]


def test_a_tune_without_a_chord_has_no_parts() -> None:
    with pytest.raises(HarmonyError, match="has no chord"):
        parts_of(Tune.parse("| N.C. | N.C. |"), UKULELE)


@pytest.mark.parametrize("octave", [2, 3, 4, 5, 6, 7])
def test_a_melody_is_sung_in_the_octave_that_fits_best(octave: int) -> None:
    """Every octave is tried by brute force; who has no class sings from A3 to C5 (57 to 72)."""
    notes = " ".join(f"{name}{octave}:1" for name in "CEGB")
    tune = Tune.parse(
        f'format = 1\ntitle = "Gull"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
        f'changes = "| C |"\nmelody = "| {notes} |"\n'
    )
    own = 12 * octave + 12
    for key in key_choices(tune, UKULELE):
        assert key.lowest is not None and key.highest is not None
        assert key.highest - key.lowest == 11
        moved = own + (key.sounds.tonic.pitch_class + 5) % 12 - 5
        lows = [moved + 12 * n for n in (-2, -1, 0, 1, 2)]
        outside = [max(0, 57 - low) + max(0, low + 11 - 72) for low in lows]
        assert key.lowest in lows and key.outside == min(outside)
        assert key.outside == outside[lows.index(key.lowest)]


def test_rescues_are_promised_where_there_are_some() -> None:
    """By hand: Bm as 4-2-2-2 has an easier grip on a ukulele, C and F have none."""
    for changes, promised in (("| C | F |", False), ("| C | Bm |", True)):
        tune = Tune.parse(changes)
        parts = parts_of(tune, UKULELE)
        usual = parts[2]
        assert bool(usual.rescues) == ("rescue" in usual.about) == promised
        told = said_fit([usual, usual], tune)
        assert ("rescues" in " ".join(told)) == promised
