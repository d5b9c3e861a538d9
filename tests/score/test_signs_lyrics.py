"""Words of MusicXML scores: by hand from the standard's examples, and as music21 reads them."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import fromstring

import music21
import pytest
from hypothesis import given, settings
from songs import songs

from harmonykit.score.child import answer
from harmonykit.score.lead import lead_score
from harmonykit.score.musicxml import read_xml
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.signs import lyric_of, put_words, words_left
from harmonykit.score.tune import build_tune

FOLDER = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
SUITE = [
    "61a-Lyrics", "61b-MultipleLyrics", "61d-Lyrics-Melisma", "61e-Lyrics-Chords",
    "61h-Lyrics-BeamsMelismata", "61j-Lyrics-Elisions", "61k-Lyrics-SpannersExtenders",
]  # fmt: skip


def score_of(name: str) -> dict:
    return read_xml(fromstring((FOLDER / f"{name}.xml").read_text(encoding="utf-8")))


@pytest.mark.parametrize("name", SUITE)
def test_the_lilypond_suite_has_the_words_that_music21_reads(name):
    found = [note for bar in score_of(name)["bars"] for note in bar["notes"]]
    part = music21.converter.parse(FOLDER / f"{name}.xml", forceSource=True).parts[0]
    theirs = [note for note in part.recurse().notes if not note.duration.isGrace]
    assert len(found) == len(theirs) > 0
    for ours, their in zip(found, theirs, strict=True):
        words = {verse: text for text, place, verse in ours["words"] if place != "held"}
        assert words == {lyric.number: lyric.text for lyric in their.lyrics if lyric.text}


@pytest.mark.parametrize(
    ("inner", "text", "place", "extend"),
    [
        # MusicXML 4.0, lyric: syllabic may be missing; an elision joins what shares a note.
        ("<text>oar</text>", "oar", "single", ""),
        ("<syllabic>middle</syllabic><text>oar</text>", "oar", "middle", ""),
        ("<syllabic>end</syllabic><text>a</text><elision> </elision><syllabic>begin</syllabic>"
         "<text>b</text>", "a b", "middle", ""),
        ("<text>a</text><elision>‿</elision><text>b</text>", "a‿b", "single", ""),
        ("<text>oar</text><extend/>", "oar", "single", "start"),
        ("<extend type='stop'/>", "", "single", "stop"),
        ("<humming/>", "", "single", ""),
    ],
)  # fmt: skip
def test_a_lyric_by_hand(inner, text, place, extend):
    found = lyric_of(fromstring(f"<lyric number='3'>{inner}</lyric>"))
    assert found == {"text": text, "place": place, "verse": 3, "extend": extend}


@pytest.mark.parametrize(
    ("given", "verse"),
    [("", 1), ("number='2'", 2), ("number='part2verse4'", 4), ("name='verse 3'", 3),
     ("name='refrain'", 1), ("number='0'", 1)],
)  # fmt: skip
def test_a_verse_by_its_number_or_name(given, verse):
    assert lyric_of(fromstring(f"<lyric {given}><text>a</text></lyric>"))["verse"] == verse


def note(at: str, *lyrics: str) -> dict:
    found = [lyric_of(fromstring(f"<lyric>{one}</lyric>")) for one in lyrics]
    return {"at": at, "beats": "1", "lyrics": found}


def test_a_line_ends_at_a_rest_and_a_word_that_goes_on_does_not():
    # MusicXML 4.0, extend: a word extension line runs from start to stop, over melisma notes.
    first = [note("0", "<text>a</text><extend/>"), note("1"), note("3")]
    second = [note("0", "<syllabic>begin</syllabic><text>b</text>"), note("2"), note("3")]
    third = [note("0", "<syllabic>end</syllabic><text>c</text>"), note("1")]
    bars = [{"length": "4", "notes": notes} for notes in (first, second, third)]
    put_words(bars)
    assert [[[word[1] for word in n["words"]] for n in bar["notes"]] for bar in bars] == [
        [["single"], ["held"], []],
        [["begin"], ["held"], ["held"]],
        [["end"], []],
    ]


def test_a_line_stops_where_the_file_says():
    stop = "<extend type='stop'/>"
    notes = [note("0", "<text>a</text><extend type='start'/>"), note("1", stop), note("2")]
    put_words([{"length": "4", "notes": notes}])
    assert [len(n["words"]) for n in notes] == [1, 1, 0]


def test_words_of_other_parts_are_told():
    doubts = score_of("61c-Lyrics-Pianostaff")["doubts"]
    assert (None, "words in parts other than the melody are left out: 'TRA LA LI JA!'") in doubts
    assert words_left([[note("0", "<text>a</text>", "<extend/>")]]) == "a"


def test_what_else_is_left_out_is_told():
    assert (None, "left out: grace notes, slurs") in score_of("61f-Lyrics-GracedNotes")["doubts"]


@settings(max_examples=40)
@given(songs())
def test_a_song_that_is_written_is_read_with_its_words(song):
    text = write_musicxml(lead_score(song))
    assert build_tune(answer(text.encode(), ".xml", None)["score"], "song.xml") == song
