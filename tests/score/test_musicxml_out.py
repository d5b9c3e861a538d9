"""Scores of tunes: valid by the standard's schema, and the same tunes when they come in again."""

from __future__ import annotations

from fractions import Fraction as Q
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given, settings
from small_tunes import tunes

from harmonykit.paths import find_data
from harmonykit.score.child import answer
from harmonykit.score.files import read_tune, write_tune
from harmonykit.score.lead import PARTS, lead_score
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.tune import build_tune
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune

# All that the text form says, at once: a pick-up, endings, a change of metre, a short bar, jumps,
# fermatas, alternates, a chord inside a note, silence, triplets, ties inside and over bars.
ALL = '''
format = 1
title = "Foghorn & Bell"
key = "Bb"
meter = "4/4"
tempo = 97.5
form = ["A", "A", "B"]
composer = "the class"
rights = "invented"
notes = "Slowly; <loud>"
[[sections]]
name = "A"
changes = """
| {1 quarter} F7 |: {segno} Bbmaj7 (Bb6) / / Gm7 {fermata} | Cm7 F7@3.5 |
| [1 Dm7b5 G7(b9,#11) {to coda} :| [2 {3/4} Bb6/9 | N.C. || {4/4} C7 |
"""
melody = """
| F4 | D5:3/2 C#5:1/2 D5:5/4 r:3/4 | Bb4:4~ |
| Bb4:1/3 C5:1/3 D5:1/3 F5:3 | D5:3 | r | C5:2 E5:2 |
"""
[[sections]]
name = "B"
changes = """
| Eb C7/G | Fsus2 {D.S. al coda} |: {vamp} {coda} Bb :|x4 {2 quarters} F7 | Bb {fermata@3} {fine} |
"""
'''


def lead(tune: Tune, part: str = "concert") -> str:
    return write_musicxml(lead_score(tune, part))


def again(text: str) -> Tune:
    found = answer(text.encode(), ".musicxml", None)
    assert "error" not in found, found
    return build_tune(found["score"], "again.musicxml")


@pytest.mark.parametrize("part", PARTS)
def test_a_part_is_valid_and_comes_in_as_the_same_tune(part, schema):
    tune = Tune.parse(ALL)
    text = lead(tune, part)
    schema.validate(text)
    assert again(text) == tune


@pytest.mark.parametrize("name", ["heron_landing", "slack_water_waltz"])
@pytest.mark.parametrize("part", PARTS)
def test_the_shipped_tunes_come_in_again(name, part):
    tune = read_tune(find_data("tunes", name))
    assert again(lead(tune, part)) == tune


@settings(max_examples=40)
@given(tunes())
def test_music_that_goes_out_comes_in(tune):
    found = again(lead(tune))
    assert found.changes == tune.changes
    assert found.melody == tune.melody
    assert (found.key, found.meter, found.tempo) == (tune.key, tune.meter, tune.tempo)
    assert found.order == tune.order


def root_of(changes: str, part: str = "concert", melody: str = "", key: str = "C") -> Element:
    sung = f'melody = "{melody}"' if melody else ""
    tune = Tune.parse(
        f'format = 1\ntitle = "T"\nkey = "{key}"\nmeter = "4/4"\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{sung}\n'
    )
    root: Element = fromstring(lead(tune, part))
    return root


def texts(root: Element, path: str) -> list[str | None]:
    return [element.text for element in root.iterfind(path)]


@pytest.mark.parametrize(
    ("part", "root", "octave", "fifths", "transpose"),
    [
        # MusicXML 4.0, transpose: from written to sounding.  A B♭ instrument reads a major second
        # above what sounds, an E♭ one a major sixth (elementary theory of instruments).
        ("concert", "C", "5", "0", None),
        ("Bb", "D", "5", "2", ("-1", "-2")),
        ("Eb", "A", "5", "3", ("-5", "-9")),
        ("bass clef", "C", "4", "0", ("0", "0")),
        ("guitar", "C", "5", "0", None),
    ],
)
def test_parts_are_written_for_their_readers(part, root, octave, fifths, transpose):
    found = root_of("| C7 |", part, "| C5:4 |")
    assert texts(found, ".//root-step") == [root]
    assert texts(found, ".//pitch/octave") == [octave]
    assert texts(found, ".//fifths") == [fifths]
    moved = found.find(".//transpose")
    assert (transpose is None) == (moved is None)
    if moved is not None:
        assert (moved.findtext("diatonic"), moved.findtext("chromatic")) == transpose
    clef = found.find(".//clef")
    assert clef.findtext("sign") == ("F" if part == "bass clef" else "G")
    # The guitar's clef sounds an octave lower; its pitches are those that sound.
    assert clef.findtext("clef-octave-change") == ("-1" if part == "guitar" else None)


def test_a_key_that_is_written_as_its_twin_sounds_as_it_was():
    # B major for a B♭ instrument is C sharp, seven sharps: written D flat, and back by a third.
    text = lead(Tune.parse(ALL.replace('key = "Bb"', 'key = "B"')), "Bb")
    found = fromstring(text)
    assert texts(found, ".//fifths") == ["-5"]
    assert (found.findtext(".//diatonic"), found.findtext(".//chromatic")) == ("-2", "-2")
    assert str(again(text).key) == "B major"


def test_values_dots_and_triplets():
    found = root_of("| C |", melody="| C5:3/2 D5:1/2 E5:1/3 F5:1/3 G5:1/3 A5:1 |")
    notes = found.findall(".//note")
    types = ["quarter", "eighth", "eighth", "eighth", "eighth", "quarter"]
    assert [n.findtext("type") for n in notes] == types
    assert [n.find("dot") is not None for n in notes] == [True] + [False] * 5
    assert [n.findtext("time-modification/actual-notes") for n in notes][2:5] == ["3"] * 3
    durations = [int(n.findtext("duration")) for n in notes]
    assert sum(durations) == 4 * int(found.findtext(".//divisions"))


def test_accidentals_are_shown_where_the_key_and_the_bar_do_not_say_them():
    found = root_of("| G | C |", melody="| F#5 F5 F5 F#5 | F5:2 F#5:2 |", key="G")
    shown = [n.findtext("accidental") for n in found.findall(".//note")]
    assert shown == [None, "natural", None, "sharp", "natural", "sharp"]


def test_a_chord_inside_a_note_has_an_offset():
    found = root_of("| C G7@3.5 |", melody="| C5:4 |")
    offsets = [h.findtext("offset") for h in found.findall(".//harmony")]
    assert offsets == [None, "5"]
    assert found.findtext(".//divisions") == "2"


def test_an_accidental_is_a_reminder_in_the_next_bar_and_in_another_octave():
    # Common practice of engravers, no source: a courtesy accidental.
    found = root_of("| G | C | C |", melody="| C#5:2 C6:2 | C5:4 | C5:4 |", key="G")
    shown = [n.find("accidental") for n in found.findall(".//note")]
    said = [None if a is None else (a.text, a.get("cautionary")) for a in shown]
    assert said == [("sharp", None), ("natural", "yes"), ("natural", "yes"), None]


def test_a_tie_carries_its_accidental_and_gives_it_to_no_other_note():
    found = root_of("| G | C |", melody="| C#5:4~ | C#5:2 C#5:2 |", key="G")
    shown = [n.findtext("accidental") for n in found.findall(".//note")]
    assert shown == ["sharp", None, "sharp"]


def test_every_ending_starts_and_stops_with_the_numbers_of_its_passes():
    found = root_of("|: C | [1,2 F | G7 :| [3 C | C || F |")
    ends = [
        (m.get("number"), e.get("type"), e.get("number"))
        for m in found.iter("measure") for e in m.iter("ending")
    ]  # fmt: skip
    # MusicXML 4.0, ending: its end has the numbers of its start; the last hangs open.
    assert ends == [
        ("2", "start", "1,2"), ("3", "stop", "1,2"), ("4", "start", "3"), ("5", "discontinue", "3"),
    ]  # fmt: skip
    assert [r.get("direction") for r in found.iter("repeat")] == ["forward", "backward"]


def test_the_music_ends_with_a_final_bar_line():
    found = root_of("| C | F | C |")
    styles = [[s.text for s in m.iter("bar-style")] for m in found.iter("measure")]
    assert styles == [[], [], ["light-heavy"]]


def test_a_section_ends_with_a_double_bar_line_unless_it_repeats():
    # Common practice of engravers, no source.
    text = lead(read_tune(find_data("tunes", "heron_landing")))
    lines = [[s.text for s in m.iter("bar-style")] for m in fromstring(text).iter("measure")]
    assert [n for n, styles in enumerate(lines, 1) if styles == ["light-light"]] == [8, 16, 24]
    styles = [s.text for s in fromstring(lead(Tune.parse(ALL))).iter("bar-style")]
    assert styles.count("light-light") == 2


def test_lengths_too_fine_are_refused():
    with pytest.raises(TuneError, match="cannot be written in a score"):
        root_of("| C G7@10007/10006 |")
    # 7, 11 and 13 parts of a quarter at once: 1,001 is past the thousand that a tuplet may count.
    with pytest.raises(TuneError, match="cannot be written in a score"):
        root_of("| C F@8/7 G7@23/11 C@40/13 |")
    assert root_of("| C F@8/7 G7@23/11 C@29/9 |") is not None
    with pytest.raises(TuneError, match="not a known part"):
        lead(Tune.parse(ALL), "Db")


def test_a_tune_is_written_and_read_by_its_suffix(tmp_path):
    tune = Tune.parse(ALL)
    write_tune(tune, tmp_path / "bell.musicxml")
    assert read_tune(tmp_path / "bell.musicxml") == tune
    first = (tmp_path / "bell.musicxml").read_bytes()
    write_tune(tune, tmp_path / "bell.musicxml")
    assert (tmp_path / "bell.musicxml").read_bytes() == first


def test_music21_finds_the_same_length():
    from music21 import converter

    tune = Tune.parse(ALL)
    text = lead(tune)
    score = converter.parse(text, format="musicxml", forceSource=True)
    written = sum(bar.length for name in tune.order for s in tune.sections if s.name == name
                  for bar in s.bars)  # fmt: skip
    assert Q(score.duration.quarterLength) == written


SONG = """format = 1
title = "Harbour Song"
key = "F"
meter = "3/4"
[[sections]]
name = "A"
changes = "|: F | C7 | [1 F :| [2 F |"
melody = "| F4 G4 A4 | Bb4:2 A4 | F4:2 r | F4:3 |"
words = ["| Har- bour lights | low _ | gold | sea |", "| Ev- en- ing | _ boats | are | home |"]
"""


def test_words_are_read_by_music21_note_by_note(schema):
    from music21 import converter

    text = lead(Tune.parse(SONG))
    schema.validate(text)
    score = converter.parseData(text, format="musicxml")
    notes = [n for n in score.flatten().notes if "ChordSymbol" not in n.classes]
    sung = [[(w.number, w.text, w.syllabic) for w in n.lyrics if w.text] for n in notes]
    # By hand from the tune's words.
    assert sung == [
        [(1, "Har", "begin"), (2, "Ev", "begin")],
        [(1, "bour", "end"), (2, "en", "middle")],
        [(1, "lights", "single"), (2, "ing", "end")],
        [(1, "low", "single")],
        [(2, "boats", "single")],
        [(1, "gold", "single"), (2, "are", "single")],
        [(1, "sea", "single"), (2, "home", "single")],
    ]


def test_a_line_runs_as_far_as_a_syllable_is_held():
    root = fromstring(lead(Tune.parse(SONG)))
    lines = [
        [(w.get("number"), e.get("type")) for w in n.iter("lyric") for e in w.iter("extend")]
        for n in root.iter("note")
    ]
    # The rest after "gold" is a note of the file too.
    assert lines == [
        [], [], [("2", "start")], [("1", "start"), ("2", "stop")], [("1", "stop")], [], [], [],
    ]  # fmt: skip


@pytest.mark.parametrize(
    "changes",
    [
        "|: C | D :| E |", "| C :| D |: E :|x3 F |", "|: C | [1 D :| [2 E | F |",
        "|: C | [1,2 D :| [3 E | F |", "| C | D {fine} | E {D.C. al fine} |",
        "| C | {segno} D {fine} | E | F {D.S. al fine} |",
    ],
)  # fmt: skip
def test_music21_plays_the_bars_in_our_order(changes):
    from music21 import converter

    count = changes.replace("|:", "|").replace(":|x3", "|").replace(":|", "|").count("|") - 1
    names = ("C", "D", "E", "F")[:count]
    tune = Tune.parse(
        SONG.partition("[[")[0] + f"[[sections]]\nname = 'A'\nchanges = '{changes}'\n"
        f"melody = '| {' | '.join(f'{name}5:3' for name in names)} |'\n"
    )
    part = converter.parseData(lead(tune), format="musicxml").parts[0].expandRepeats()
    notes = [n for n in part.flatten().notes if "ChordSymbol" not in n.classes]
    assert [n.nameWithOctave for n in notes] == [str(sung.note) for sung in tune.melody]


@pytest.mark.parametrize("text", [ALL, SONG])
def test_an_engraver_has_nothing_to_warn_of(text, capfd):
    import verovio

    verovio.enableLog(verovio.LOG_WARNING)
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    toolkit = verovio.toolkit()
    try:
        assert toolkit.loadData(lead(Tune.parse(text)))
        assert "<svg" in toolkit.renderToSVG(1)
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("part", PARTS)
def test_words_come_in_again(part):
    tune = Tune.parse(SONG)
    found = again(lead(tune, part))
    assert found == tune
    assert [[w.text for w in sung.words] for sung in found.melody][:5] == [
        ["Har"], ["bour"], ["lights"], ["low"], [""],
    ]  # fmt: skip


def test_a_rest_is_that_of_a_measure_where_it_fills_one() -> None:
    """MusicXML 4.0: the attribute measure tells a rest that is centred in its measure."""
    text = write_musicxml(
        lead_score(
            Tune.parse(
                'format = 1\ntitle = "Ebb"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
                'changes = "| C | F | G |"\nmelody = "| C5:2 r:2 | r:4 | r:1 D5:3 |"\n'
            )
        )
    )
    rests = [
        (note.findtext("duration"), note.find("rest").get("measure"))  # type: ignore[union-attr]
        for note in fromstring(text).iter("note")
        if note.find("rest") is not None
    ]
    assert [measure for _, measure in rests] == [None, "yes", None]
