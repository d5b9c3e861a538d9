"""Slots are a tune's chords, cut where a move may begin and end."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from small_tunes import tune_of, tunes

from harmonykit.arrange.slots import Slot, melody_between, slots_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.tune.tune import Sung, Tune


def symbols(slots: tuple[Slot, ...]) -> list[str]:
    return [str(slot.chord) for slot in slots]


def test_a_long_chord_is_cut_into_pairs_of_whole_bars() -> None:
    slots = slots_of(tune_of("| C6 | C6 | C6 / / G7 | G7 | G7 |"))
    found = [(str(slot.chord), int(slot.onset), int(slot.beats)) for slot in slots]
    # The last beat of bar 3 is no whole bar, so that it stands alone.
    assert found == [("C6", 0, 8), ("C6", 8, 3), ("G7", 11, 1), ("G7", 12, 8)]


def test_a_slot_knows_the_chords_beside_it_and_where_the_next_one_starts() -> None:
    first, second, silent = slots_of(tune_of("| C6 / / G7 | N.C. |"))
    assert (first.before, first.after) == (None, Chord.parse("G7"))
    assert (second.before, second.after) == (Chord.parse("C6"), None)
    assert (silent.before, silent.after) == (Chord.parse("G7"), None)
    assert [slot.after_at and slot.after_at.at for slot in (first, second, silent)] == [3, 0, None]


def test_every_slot_of_the_last_chord_is_final_also_before_a_last_silence() -> None:
    slots = slots_of(tune_of("| C6 | G7 | C6 | C6 | C6 | N.C. |"))
    assert symbols(slots) == ["C6", "G7", "C6", "C6", "None"]
    assert [slot.final for slot in slots] == [False, False, True, True, True]


def test_a_silence_between_ends_the_last_chord() -> None:
    slots = slots_of(tune_of("| C6 | N.C. | C6 |"))
    assert [slot.final for slot in slots] == [False, False, True]


def test_a_pickup_has_the_weight_of_the_last_beat() -> None:
    tune = tune_of("| {1 quarter} G7 | C6 | G7 |")
    first = slots_of(tune)[0]
    assert (first.pieces[0].at, first.pieces[0].number, first.bar) == (3, 0, 0)


def test_the_second_half_of_a_divided_bar_goes_on_counting() -> None:
    tune = tune_of("| C6 | {3 quarters} D7 | {1 quarter} G7 | C6 |")
    places = {str(slot.chord): slot.pieces[0] for slot in slots_of(tune)[1:3]}
    assert (places["D7"].at, places["D7"].number) == (0, 2)
    assert (places["G7"].at, places["G7"].number) == (3, 2)


def test_edges_are_where_another_section_or_a_repeat_begins() -> None:
    twice = tune_of("| C6 | G7 |", more='form = ["A", "A"]')
    assert [slot.at_edge for slot in slots_of(twice)] == [False, True, False, False]
    repeated = tune_of("|: C6 | G7 :| F6 | C6 |")
    assert [slot.at_edge for slot in slots_of(repeated)] == [
        False,
        True,
        False,
        False,
        False,
        False,
    ]
    inside = tune_of("| C6 / G7 / | {2 quarters} F6 | {2 quarters} D7 | G7 |")
    assert not any(slot.at_edge for slot in slots_of(inside))


@given(tunes())
def test_pieces_follow_without_a_gap_and_none_crosses_a_bar_line(tune: Tune) -> None:
    pieces = [piece for slot in slots_of(tune) for piece in slot.pieces]
    reached = Fraction(0)
    for piece in pieces:
        played = tune.playing[piece.bar]
        assert piece.onset == reached
        assert played.onset <= piece.onset
        reached += piece.beats
        assert reached <= played.onset + played.bar.length
    assert reached == tune.length


@given(tunes())
def test_each_moment_keeps_its_chord(tune: Tune) -> None:
    for slot in slots_of(tune):
        sounding = [
            change.chord
            for change in tune.changes
            if change.onset < slot.onset + slot.beats and change.onset + change.beats > slot.onset
        ]
        assert set(sounding) == {slot.chord}


@given(tunes())
def test_the_melody_between_two_moments_is_all_that_sounds_there(tune: Tune) -> None:
    melody = tune.melody
    for slot in slots_of(tune):
        start, end = slot.onset, slot.onset + slot.beats
        slow = [n for n in melody if n.onset < end and n.onset + n.beats > start]
        assert melody_between(melody, start, end) == slow


def test_a_note_that_only_touches_a_moment_does_not_sound_there() -> None:
    note = Sung(Note.parse("C5"), Fraction(1), Fraction(1))
    assert melody_between((note,), Fraction(2), Fraction(3)) == []
    assert melody_between((note,), Fraction(0), Fraction(1)) == []
    assert melody_between((note,), Fraction(1), Fraction(2)) == [note]


def test_a_slot_knows_its_fermata_its_section_and_whether_nothing_sounds_after_it() -> None:
    slots = slots_of(tune_of("| C6 {fermata@3} | G7 | C6 | N.C. |"))
    assert [slot.fermata for slot in slots] == [True, False, False, False]
    assert [slot.ends_sound for slot in slots] == [False, False, True, False]
    assert {slot.section for slot in slots} == {"A"}
