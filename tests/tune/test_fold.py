"""A tune written out and folded up is the same music."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from songs import songs

from harmonykit.tune.fold import fold, write_out
from harmonykit.tune.tune import Tune

HEAD = 'format = 1\ntitle = "Tide Table"\nkey = "C"\nmeter = "4/4"\n'


def tune_of(changes: str, form: str = "") -> Tune:
    return Tune.parse(f'{HEAD}{form}\n[[sections]]\nname = "A"\nchanges = "{changes}"\n')


def music(tune: Tune) -> list[tuple]:
    changes = [(str(c.chord), c.onset, c.beats, c.fermata) for c in tune.changes]
    sung = [(str(s.note), s.onset, s.beats, s.words) for s in tune.melody]
    return [*changes, *sung, tune.length]


def signs(tune: Tune) -> list[tuple]:
    return [(b.opens, b.closes, b.ending) for b in tune.bars]


@pytest.mark.parametrize(
    ("changes", "bars", "marks"),
    [
        ("| C | C | C |", 1, [(True, 3, ())]),
        ("| C | D | C | D | E |", 3, [(True, 0, ()), (False, 2, ()), (False, 0, ())]),
        (
            "| C | D | E | F | C | D | E | G |", 5,
            [(True, 0, ()), (False, 0, ()), (False, 0, ()), (False, 2, (1,)), (False, 0, (2,))],
        ),
        ("| C | C | E |", 3, [(False, 0, ())] * 3),
    ],
)  # fmt: skip
def test_what_is_found_by_hand(changes, bars, marks):
    plain = tune_of(changes)
    folded = fold(plain)
    assert len(folded.bars) == bars
    assert signs(folded) == marks
    assert music(folded) == music(plain)


def test_a_section_played_again_begins_anew_and_a_repeat_inside_goes_on():
    again = write_out(tune_of("| C | D |", 'form = ["A", "A"]'))
    assert [(each.name, len(each.bars)) for each in again.sections] == [("A", 2), ("A 2", 2)]
    inside = write_out(tune_of("|: C | D :|"))
    assert [(each.name, len(each.bars)) for each in inside.sections] == [("A", 4)]
    both = write_out(tune_of("|: C | D :|", 'form = ["A", "A"]'))
    assert [(each.name, len(each.bars)) for each in both.sections] == [("A", 4), ("A 2", 4)]


def test_a_jump_is_written_out():
    tune = tune_of("| {segno} C {fine} | D {D.S. al fine} |")
    plain = write_out(tune)
    assert all(not bar.signs for bar in plain.bars)
    assert [c.chord.symbol for b in plain.bars for c in b.changes] == ["C", "D", "C"]
    assert music(plain) == music(tune) == music(fold(tune))


LINES = st.sampled_from(
    ["| C |", "| C |", "| D |", "| Dm7 G7 |", "| - |", "| % |", "| C {fermata} |",
     "| {3/4} F | {4/4} C |", "|: C | D :|", "| G7@3 |", "|: C | [1 D :| [2 E ||", "|: Am :|x3"]
)  # fmt: skip


@given(st.lists(LINES, min_size=1, max_size=14), st.integers(1, 3))
def test_unfolding_and_folding_give_the_same_music(lines, times):
    changes = "\n".join(["| Am |", *lines])
    form = f"form = {['A'] * times}"
    tune = Tune.parse(f"{HEAD}{form}\n[[sections]]\nname = 'A'\nchanges = '''\n{changes}\n'''\n")
    assert music(write_out(tune)) == music(tune)
    assert music(fold(tune)) == music(tune)
    assert music(fold(write_out(tune))) == music(tune)


@given(songs())
def test_a_song_written_out_and_folded_has_the_same_words_in_the_same_passes(song):
    assert music(write_out(song)) == music(song)
    assert music(fold(write_out(song))) == music(song)


def test_two_rounds_of_a_part_with_two_texts_fold_to_two_verses():
    words = "words = '| row | home | row | out | row | far |'"
    melody = f"melody = '{'| G4 ' * 6}|'"
    changes = "changes = '| C | F | C | F | C | F |'"
    tune = Tune.parse("\n".join([HEAD, "[[sections]]", "name = 'A'", changes, melody, words]))
    folded = fold(tune)
    assert signs(folded) == [(True, 0, ()), (False, 3, ())]
    assert [[(w.text, w.verse) for n in b.melody for w in n.words] for b in folded.bars] == [
        [("row", 1)],
        [("home", 1), ("out", 2), ("far", 3)],
    ]
    assert music(folded) == music(tune)
