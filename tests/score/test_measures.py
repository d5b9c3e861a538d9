"""One part of a score: chords and notes where the cursor's rules put them, worked out by hand.

The notes of foreign files are those that music21 reads, but for what it is known to lose.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import fromstring, parse

import pytest

from harmonykit.score.measures import Measure, read_part, transposition


def harmony(root: str, kind: str = "major", more: str = "", attributes: str = "") -> str:
    return (
        f"<harmony><root><root-step>{root}</root-step></root>"
        f"<kind {attributes}>{kind}</kind>{more}</harmony>"
    )


def note(duration: int, more: str = "<rest/>") -> str:
    return f"<note>{more}<duration>{duration}</duration></note>"


def measures(*contents: str) -> list[Measure]:
    body = "".join(f"<measure>{content}</measure>" for content in contents)
    part = fromstring(f"<part>{body}</part>")
    part[0].insert(0, fromstring("<attributes><divisions>2</divisions></attributes>"))
    return read_part(part)


def found(*contents: str) -> list[list[tuple[str, str, str | None]]]:
    return [
        [(c.get("root", "-"), c["at"], c.get("room")) for c in bar.chords]
        for bar in measures(*contents)
    ]


def test_notes_rests_and_forward_move_on_and_backup_goes_back():
    content = (
        harmony("C") + note(2) + harmony("D") + "<forward><duration>3</duration></forward>"
        + harmony("E") + note(3) + "<backup><duration>8</duration></backup>"
        + note(4) + harmony("F") + note(4)
    )  # fmt: skip
    assert found(content) == [
        [("C", "0", "1"), ("D", "1", "3/2"), ("F", "2", "2"), ("E", "5/2", "3/2")]
    ]


def test_chord_notes_and_grace_notes_take_no_time():
    content = note(4, "<pitch/>") + note(4, "<chord/><pitch/>") + "<note><grace/></note>"
    assert found(content + harmony("G") + note(4)) == [[("G", "2", "2")]]


def test_an_offset_shifts_one_symbol():
    assert found(harmony("C", more="<offset>3</offset>") + note(8)) == [[("C", "3/2", "4")]]
    assert found(note(8) + harmony("C", more="<offset>-2</offset>")) == [[("C", "3", None)]]


def test_two_symbols_on_one_note_are_both_kept_and_the_same_in_two_staves_once():
    content = harmony("C") + harmony("G") + note(8)
    again = "<backup><duration>8</duration></backup>" + harmony("C", more="<staff>2</staff>")
    # The staff is no part of the chord: what is written above both staves sounds once.
    assert found(content + again + note(8)) == [[("C", "0", "4"), ("G", "0", "4")]]


def test_divisions_hold_until_they_change():
    change = "<attributes><divisions>4</divisions></attributes>"
    bars = found(note(2) + harmony("C"), change + note(2) + harmony("D"), note(2) + harmony("E"))
    assert [bar[0][1] for bar in bars] == ["1", "1/2", "1/2"]


@pytest.mark.parametrize(
    "content",
    [
        harmony("C", "none"),
        "<harmony><kind>none</kind></harmony>",
        "<direction><direction-type><words>N.C.</words></direction-type></direction>",
    ],
)
def test_silence(content):
    (bar,) = measures(note(4) + content + note(4))
    assert bar.chords == [{"silence": True, "at": "2", "room": "2"}]


def test_all_that_is_said_of_a_chord():
    content = (
        "<harmony><root><root-step>E</root-step><root-alter>-1</root-alter></root>"
        '<kind text="7(b9)">dominant</kind><inversion>1</inversion>'
        "<bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>"
        "<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter>"
        "<degree-type>add</degree-type></degree></harmony>"
    )
    assert measures(content)[0].chords == [
        {
            "root": "Eb",
            "kind": "dominant",
            "text": "7(b9)",
            "degrees": [["add", 9, -1]],
            "bass": "F#",
            "inversion": 1,
            "at": "0",
        }
    ]


def test_a_chord_by_function_is_not_read_and_not_lost():
    (bar,) = measures("<harmony><function>V</function><kind>major</kind></harmony>")
    assert "function" in bar.chords[0]["unread"]


def sung(measure: Measure) -> list[tuple[list[str], str, str]]:
    (line,) = measure.lines.values()
    return [(one["note"], one["at"], one["beats"]) for one in line]


def test_a_rounded_triplet_is_the_triplet_that_is_printed():
    # 256 divisions cannot be shared among three: 85, 86, 85.
    change = "<attributes><divisions>256</divisions></attributes>"
    ratio = "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    triplet = "".join(
        f"{harmony('G') if n == 1 else ''}<note><pitch><step>C</step><octave>5</octave></pitch>"
        f"<duration>{ticks}</duration><type>eighth</type>"
        f"<time-modification>{ratio}</time-modification></note>"
        for n, ticks in enumerate((85, 86, 85))
    )
    (bar,) = measures(change + triplet + note(768))
    assert sung(bar) == [(["C5"], at, "1/3") for at in ("0", "1/3", "2/3")]
    assert [chord["at"] for chord in bar.chords] == ["1/3"]
    assert bar.length == 4


def test_a_chord_goes_on_behind_a_direction():
    pitch = "<pitch><step>{}</step><octave>4</octave></pitch>"
    content = note(2, pitch.format("C")) + "<direction/>" + note(2, "<chord/>" + pitch.format("E"))
    (bar,) = measures(content)
    assert sung(bar) == [(["C4", "E4"], "0", "1")]


def test_a_measure_is_as_long_as_its_notes_and_rests():
    # Programs fill a short last measure with <forward>.
    (bar,) = measures(note(6) + "<forward><duration>2</duration></forward>")
    assert bar.length == 3


@pytest.mark.parametrize(
    ("time", "meter"),
    [
        ("<beats>6</beats><beat-type>8</beat-type>", (6, 8)),
        # MusicXML 4.0, time: a sum, and several fractions over one another.
        ("<beats>3+2</beats><beat-type>8</beat-type>", (5, 8)),
        (
            "<beats>3</beats><beat-type>8</beat-type><beats>2</beats><beat-type>4</beat-type>",
            (7, 8),
        ),
        ("<senza-misura/>", None),
    ],
)
def test_metres(time: str, meter: tuple[int, int] | None):
    (bar,) = measures(f"<attributes><time>{time}</time></attributes>" + note(2))
    assert bar.meter == meter


@pytest.mark.parametrize(
    "moved",
    [
        "<diatonic>-1</diatonic><chromatic>-2</chromatic>",
        "<diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change>",
        "<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>",
    ],
)
def test_pitches_are_those_that_sound_as_music21_has_them(moved: str):
    from music21 import converter

    pitches = "".join(
        note(2, f"<pitch><step>{step}</step><alter>{alter}</alter><octave>5</octave></pitch>")
        for step, alter in (("C", 0), ("F", 1), ("B", -1), ("E", 1))
    )
    change = f"<attributes><transpose>{moved}</transpose></attributes>"
    (bar,) = measures(change + pitches)
    listed = '<part-list><score-part id="P1"><part-name/></score-part></part-list>'
    text = (
        f'<score-partwise>{listed}<part id="P1"><measure number="1"><attributes><divisions>2'
        f"</divisions></attributes>{change}{pitches}</measure></part></score-partwise>"
    )
    theirs = converter.parseData(text, format="musicxml").toSoundingPitch().flatten().notes
    names = [n.pitch.nameWithOctave.replace("-", "b") for n in theirs]
    assert [name for (name,), _, _ in sung(bar)] == names


# By the names of the files: pitches, rests, rhythm, tuplets, chords, voices, parts, ties, pick-ups.
SUITE = ("01a", "02a", "03a", "03b", "03c", "11a", "21a", "21c", "23a", "23b", "32d", "33b", "41a",
         "41c", "42a", "46a", "46e", "72a", "72b")  # fmt: skip


@pytest.mark.parametrize("number", SUITE)
def test_the_notes_of_foreign_files_are_those_that_music21_reads(number: str):
    import music21

    folder = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
    path = next(folder.glob(f"{number}*.xml"))
    part = parse(path).getroot().findall("part")[0]
    theirs = music21.converter.parse(path, forceSource=True).parts[0]
    theirs.toSoundingPitch(inPlace=True)
    rows = theirs.getElementsByClass("Measure")
    for mine, measure in zip(read_part(part), rows, strict=True):
        first = next(iter(mine.lines.values()), [])
        found = [(n["note"], Fraction(n["at"]), Fraction(n["beats"])) for n in first]
        source = next(iter(measure.voices), measure)
        assert found == [
            (
                [p.name.replace("-", "b") + str(p.octave) for p in event.pitches],
                Fraction(event.offset),
                Fraction(event.quarterLength),
            )
            for event in source.notes
            if not event.duration.isGrace and "ChordSymbol" not in event.classes
        ]


@pytest.mark.parametrize(
    ("chromatic", "letters"),
    # Elementary theory: unison, seconds, thirds, fourth, augmented fourth, fifth, sixths, sevenths.
    [(0, 0), (1, 1), (2, 1), (3, 2), (4, 2), (5, 3), (6, 3), (7, 4), (8, 5), (9, 5), (10, 6),
     (11, 6), (12, 7), (-2, -1), (-9, -5), (-12, -7)],
)  # fmt: skip
def test_letters_that_a_file_leaves_out_are_those_of_the_usual_interval(chromatic, letters):
    element = fromstring(f"<transpose><chromatic>{chromatic}</chromatic></transpose>")
    assert transposition(element) == (letters, chromatic)


def test_without_a_metre_it_is_four_four_and_staves_are_told_apart():
    pitch = "<pitch><step>C</step><octave>4</octave></pitch>"
    lower = "<backup><duration>8</duration></backup>" + note(8, pitch).replace(
        "</note>", "<staff>2</staff></note>"
    )
    (bar,) = measures(note(8, pitch) + lower)
    assert bar.meter == (4, 4)
    assert list(bar.lines) == [("1", "1"), ("2", "1")]


@pytest.mark.parametrize(
    ("pitch", "told"),
    [
        ("<step>C</step><alter>1</alter><octave>5</octave>", "C#5"),
        ("<step>B</step><alter>-2</alter><octave>3</octave>", "Bbb3"),
        ("<step>C</step><octave>5</octave>", "C5"),
        # A quarter tone, and a letter that is none: told as they stand.
        ("<step>C</step><alter>0.5</alter><octave>5</octave>", "C5 altered by 0.5"),
        ("<step>C</step><alter>sharp</alter><octave>5</octave>", "C5 altered by sharp"),
        ("<step>H</step><octave>5</octave>", "H5 altered by 0"),
        ("<step>CD</step><octave>5</octave>", "CD5 altered by 0"),
    ],
)
def test_a_pitch_that_no_name_has_is_told_as_it_stands(pitch: str, told: str):
    (bar,) = measures(note(2, f"<pitch>{pitch}</pitch>"))
    assert sung(bar) == [([told], "0", "1")]
