r"""Words as text under the notes of a melody."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.tune.bar import TuneError
from harmonykit.tune.fold import fold, write_out
from harmonykit.tune.text.melody import settle_words, write_words
from harmonykit.tune.text.writer import write_text
from harmonykit.tune.tune import Tune

SONG = """
format = 1
title = "Gangway Song"
key = "C"
meter = "3/4"
[[sections]]
name = "A"
changes = '''{changes}'''
melody = '''{melody}'''
words = {words}
"""


def song(words: str, melody: str = "| C5 D5 E5 | F5 r G5 |", changes: str = "| C | F |") -> Tune:
    return Tune.parse(SONG.format(words=words, melody=melody, changes=changes))


def said(tune: Tune) -> list[list[tuple[str, str]]]:
    words = (note.words[:1] for bar in tune.bars for note in bar.melody)
    return [[(one.text, one.place) for one in row] for row in words]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("| row the boat | a- shore |",
         "row/single the/single boat/single a/begin shore/end"),
        ("| har- bour- mas- | ter _ |",
         "har/begin bour/middle mas/middle ter/end /held"),
        ("| . of~the~sea | . oar |", "None of the sea/single None None oar/single"),
        ("| | oar |", "None None None oar/single None"),
        (r"| wind\\-borne \\. \\_ | a\\|b \\\\ |",
         "wind-borne/single ./single _/single a|b/single \\/single"),
        ("| -ward a- b- | -c- d |", "ward/end a/begin b/middle c/middle d/end"),
        ("| row # not sung\n the boat | a shore |",
         "row/single the/single boat/single a/single shore/single"),
        (r"| \\#1 the boat | a shore |",
         "#1/single the/single boat/single a/single shore/single"),
    ],
)  # fmt: skip
def test_words_and_where_they_stand(text, expected):
    found = ["/".join(row[0]) if row else "None" for row in said(song(f'"""{text}"""'))]
    assert " ".join(found) == expected


def test_a_note_that_carries_on_has_no_word_and_a_rest_none():
    tune = song("'| hal- yard _ | rope |'", "| C5 D5 E5~ | E5 r G5 |")
    assert said(tune) == [
        [("hal", "begin")], [("yard", "end")], [("", "held")], [], [("rope", "single")],
    ]  # fmt: skip


def test_an_ending_goes_on_from_the_body():
    tune = song("'| the wa- | ter | ters |'", "| C5 D5 | E5 | F5 |", "|: C | [1 F :| [2 G ||")
    assert said(tune)[2:] == [[("ter", "end")], [("ters", "end")]]
    assert write_words(tune.bars, 1, 4) == "| the wa- | ter | ters |"


def test_verses_are_a_list_and_one_may_be_empty():
    tune = song("['| row |  |', '', \"| steer | |\"]")
    assert [(w.text, w.verse) for w in tune.bars[0].melody[0].words] == [("row", 1), ("steer", 3)]


@pytest.mark.parametrize(
    ("words", "column", "message"),
    [
        ("'| a b c d | e |'", 18, "4 syllables for 3 notes in bar 1"),
        ("'| a | b | c |'", 10, "verse 1 has 3 bars, the changes have 2"),
        ("'| - | b |'", 12, "has no letters"),
        ("['| a | b |', '| a | b c d |']", 34, "3 syllables for 2 notes in bar 2"),
        ("[1]", 9, "the words are not text"),
    ],
)
def test_faults_have_their_place(words, column, message):
    with pytest.raises(TuneError, match=message) as caught:
        song(words)
    assert (caught.value.place.line, caught.value.place.column) == (10, column)


def test_words_without_a_melody_stand_under_their_bars_and_are_written_so():
    verses = r"['| row to | the lee \| again - |', '', '| home | |']"
    tune = Tune.parse(SONG.format(words=verses, changes="| C | F |", melody="| | |"))
    assert [bar.lyric for bar in tune.bars] == [("row to", "", "home"), ("the lee | again -",)]
    assert [bar.verses for bar in tune.bars] == [{1, 3}, {1}]
    assert Tune.parse(write_text(tune)).sections == tune.sections
    with pytest.raises(TuneError, match="words beside a melody"):
        replace(tune.bars[0], melody=song("'| a | b |'").bars[0].melody)
    with pytest.raises(TuneError, match="words"):
        replace(tune.bars[0], lyric=("two\nlines",))


def test_a_repeat_sings_a_verse_each_time():
    tune = Tune.parse("|: C | F :|\n| row to | the lee |\n| sail to | |")
    assert [played.lyric for played in tune.playing] == [
        ("row to",), ("the lee",), ("sail to",), ("the lee",),
    ]  # fmt: skip
    out = write_out(tune)
    assert [bar.lyric for bar in out.bars] == [(played.lyric) for played in tune.playing]
    assert [bar.lyric for bar in fold(out).bars] == [("row to", "sail to"), ("the lee",)]


def test_words_that_a_text_cannot_say_are_settled_and_told():
    tune = song("'| hal- yard a | rope |'")
    first, second = tune.bars
    tied = replace(first.melody[2], note=second.melody[0].note, tied=True)
    bars, told = settle_words([replace(first, melody=(*first.melody[:2], tied)), second])
    assert bars[1].melody[0].words == ()
    assert told == ((1, "the syllable 'rope' on a tied note is left out"),)
