"""Scores of MusicXML: measures, repeats, melody.  Values worked out by hand from the XML."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import fromstring, parse

import pytest

from harmonykit.score.musicxml import read_xml, refuse_wild
from harmonykit.score.tune import build_tune
from harmonykit.tune.bar import TuneError

PARTS = '<part-list><score-part id="P1"><part-name>One</part-name></score-part></part-list>'
HARMONY = "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"


def suite(name: str) -> Path:
    """A file of the LilyPond MusicXML test suite, as music21 carries it."""
    import music21

    folder = Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"
    return next(folder.glob(f"{name}-*.xml"))


def note(name: str, quarters: int, more: str = "", after: str = "") -> str:
    step, octave = name[0], name[-1]
    alter = f"<alter>{name.count('#') - name.count('b')}</alter>"
    return (
        f"<note>{more}<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
        f"<duration>{quarters * 2}</duration>{after}</note>"
    )


KEY = "<key><fifths>0</fifths><mode>major</mode></key>"


def score(*measures: str, attributes: str = "", head: str = "", key: str = KEY) -> dict:
    first = (
        f"<attributes><divisions>2</divisions>{key}"
        f"<time><beats>4</beats><beat-type>4</beat-type></time>{attributes}</attributes>"
    )
    body = "".join(
        f'<measure number="{n}">{first if n == 1 else ""}{content}</measure>'
        for n, content in enumerate(measures, 1)
    )
    text = (
        f'<score-partwise version="4.0">{head}{PARTS}<part id="P1">{body}</part></score-partwise>'
    )
    return read_xml(fromstring(text))


def test_measures_have_their_length_and_metre():
    found = score(
        note("C5", 1) + HARMONY,
        note("C5", 4),
        "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>" + HARMONY,
        note("C5", 2),
    )
    assert [(bar["meter"], bar["length"]) for bar in found["bars"]] == [
        ([4, 4], "1"),
        ([4, 4], "4"),
        ([3, 4], "3"),
        ([3, 4], "2"),
    ]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # Read off the files' <barline> elements.
        ("45a", [(False, 5, []), (False, 0, [])]),
        ("45b", [(False, 0, []), (False, 2, [1]), (False, 0, [2]), (False, 0, [])]),
        (
            "45c",
            [(False, 0, []), (True, 0, []), (False, 5, []), (False, 0, []), (False, 0, []),
             (False, 0, []), (False, 3, []), (False, 0, [])],
        ),
    ],
)  # fmt: skip
def test_repeats_of_the_lilypond_suite(name, expected):
    bars = read_xml(parse(suite(name)).getroot())["bars"]
    assert [(bar["opens"], bar["closes"], bar["ending"]) for bar in bars] == expected


@pytest.mark.parametrize(("number", "passes"), [("1, 2", [1, 2]), ("1-3", [1, 2, 3]), ("2", [2])])
def test_an_ending_serves_several_passes(number, passes):
    line = f'<barline location="left"><ending number="{number}" type="start"/></barline>'
    stop = f'<barline location="right"><ending number="{number}" type="stop"/></barline>'
    found = score(
        HARMONY + note("C5", 4), line + note("C5", 4), note("C5", 4) + stop, note("C5", 4)
    )
    assert [bar["ending"] for bar in found["bars"]] == [[], passes, passes, []]


def test_the_top_line_of_the_first_voice_is_the_melody():
    chord = note("C5", 2) + note("E5", 2, "<chord/>") + note("Bb4", 2, "", "<voice>1</voice>")
    (bar,) = score(HARMONY + chord)["bars"]
    assert [(n["note"], n["at"], n["beats"]) for n in bar["notes"]] == [
        (["C5", "E5"], "0", "2"),
        (["Bb4"], "2", "2"),
    ]


def test_ties_and_rests():
    tie = '<tie type="start"/>'
    found = score(
        HARMONY + "<note><rest/><duration>4</duration></note>" + note("D5", 2, "", tie),
        note("D5", 4, "", '<tie type="stop"/>'),
    )
    assert [(n["at"], n["tied"]) for bar in found["bars"] for n in bar["notes"]] == [
        ("2", True),
        ("0", False),
    ]


def test_a_transposing_part_sounds_elsewhere():
    # A clarinet in B flat: written D sounds C (a major second lower).
    transpose = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    found = score(HARMONY + note("D5", 4), attributes=transpose)
    assert found["shift"] == [-1, -2]
    assert found["bars"][0]["notes"][0]["note"] == ["C5"]
    only_chromatic = "<transpose><chromatic>-9</chromatic></transpose>"
    assert score(HARMONY + note("A4", 4), attributes=only_chromatic)["shift"] == [-5, -9]
    octave = "<transpose><chromatic>-12</chromatic></transpose>"
    assert score(HARMONY + note("A4", 4), attributes=octave)["shift"] == [0, 0]


def test_a_part_for_two_instruments_in_turn_is_read_as_written_and_says_so():
    clarinet = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    horn = "<attributes><transpose><chromatic>-7</chromatic></transpose></attributes>"
    found = score(HARMONY + note("D5", 4), horn + note("D5", 4), attributes=clarinet)
    assert found["shift"] == [0, 0]
    assert any("changes its transposition" in text for _, text in found["doubts"])


@pytest.mark.parametrize(
    ("mark", "tempo"),
    [
        ("<beat-unit>quarter</beat-unit><per-minute>96</per-minute>", "96"),
        ("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute>", "90"),
        ("<beat-unit>half</beat-unit><per-minute>54.5</per-minute>", "109"),
        ("<beat-unit>quarter</beat-unit><per-minute>c. 108</per-minute>", ""),
    ],
)
def test_tempo_in_quarters(mark, tempo):
    direction = (
        f"<direction><direction-type><metronome>{mark}</metronome></direction-type></direction>"
    )
    found = score(direction + HARMONY + note("C5", 4))
    assert found["tempo"] == tempo
    assert any("c. 108" in text for _, text in found["doubts"]) == (not tempo)


def test_a_sound_has_a_tempo_in_quarters():
    assert score('<sound tempo="132"/>' + HARMONY + note("C5", 4))["tempo"] == "132"


def test_words_that_nobody_follows_are_doubts_with_their_bar():
    words = "<direction><direction-type><words>D.C. twice</words></direction-type></direction>"
    found = score(HARMONY + note("C5", 4), note("C5", 4) + words)
    assert (1, "'D.C. twice' is ignored") in found["doubts"]


def test_fermatas_stand_on_their_notes():
    held = "<notations><fermata/></notations>"
    found = score(HARMONY + note("C5", 2) + note("D5", 2, after=held), note("E5", 4, after=held))
    assert [bar["fermatas"] for bar in found["bars"]] == [["2"], ["0"]]


def test_rehearsal_marks_are_labels():
    mark = "<direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>"
    found = score(HARMONY + note("C5", 4), mark + note("C5", 4))
    assert [bar["label"] for bar in found["bars"]] == ["", "B"]


def test_what_is_said_over_the_melody_holds_for_the_chords_below():
    mark = "<direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>"
    fine = "<direction><direction-type><words>Fine</words></direction-type></direction>"
    listed = PARTS.replace("</part-list>", '<score-part id="P2"/></part-list>')
    upper, lower = mark + note("C5", 4) + fine, HARMONY + note("C4", 4)
    text = (
        f'<score-partwise>{listed}<part id="P1"><measure>{upper}</measure></part>'
        f'<part id="P2"><measure>{lower}</measure></part></score-partwise>'
    )
    (bar,) = read_xml(fromstring(text))["bars"]
    assert (bar["label"], bar["signs"]) == ("B", ["fine"])


def test_title_composer_and_rights():
    head = (
        "<work><work-title>Trial</work-title></work><identification>"
        '<creator type="composer">nobody</creator><rights>free</rights></identification>'
    )
    found = score(HARMONY + note("C5", 4), head=head)
    assert (found["title"], found["composer"], found["rights"]) == ("Trial", "nobody", "free")


@pytest.mark.parametrize(
    ("attributes", "message"),
    [
        ("<time><beats>99999999</beats><beat-type>4</beat-type></time>", "<beats> 99999999"),
        ("<staves>5000</staves>", "<staves> 5000"),
        ("<transpose><octave-change>99</octave-change></transpose>", "<octave-change> 99"),
    ],
)
def test_numbers_that_would_fill_the_memory_are_refused(attributes, message):
    with pytest.raises(TuneError, match=message):
        score(HARMONY + note("C5", 4), attributes=attributes)


LARGEST = {
    "beats": 64, "beat-type": 64, "fifths": 20, "alter": 6, "octave": 12, "staves": 32,
    "actual-notes": 64, "normal-notes": 64, "multiple-rest": 999, "measure-repeat": 99,
    "divisions": 99_999, "chromatic": 99, "diatonic": 99, "octave-change": 9,
}  # fmt: skip


@pytest.mark.parametrize(("name", "most"), LARGEST.items())
def test_the_largest_number_is_read_and_the_next_refused(name: str, most: int) -> None:
    """Limits of our own, set far beyond what scores have."""
    refuse_wild(fromstring(f"<score><{name}>-{most}</{name}></score>"))
    with pytest.raises(TuneError, match=f"<{name}> {most + 1}"):
        refuse_wild(fromstring(f"<score><{name}>{most + 1}</{name}></score>"))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<html/>", "the root is <html>"),
        ("<score-timewise/>", "the root is <score-timewise>"),
        ("<score-partwise/>", "no measures"),
        ('<score-partwise><part id="P1"/></score-partwise>', "no measures"),
        (
            '<score-partwise><part id="P1"><measure/></part></score-partwise>',
            "is not in the part-list",
        ),
    ],
)
def test_what_is_no_score_is_refused(text, message):
    with pytest.raises(TuneError, match=message):
        read_xml(fromstring(text))


@pytest.mark.parametrize(
    ("after", "told"), [("", 0), (' after-jump="no"', 0), (' after-jump="yes"', 1)]
)
def test_a_repeat_after_a_jump_alone_is_told(after: str, told: int) -> None:
    """MusicXML 4.0, repeat: after-jump says that it is taken after a jump too."""
    line = f'<barline location="right"><repeat direction="backward"{after}/></barline>'
    found = score(HARMONY + note("C5", 4) + line)
    assert found["bars"][0]["closes"] == 2 and not found["bars"][0]["opens"]
    assert len([text for _, text in found["doubts"] if "after a jump" in text]) == told


def _harmony(step: str, kind: str) -> str:
    root = f"<root><root-step>{step}</root-step></root>"
    return f"<harmony>{root}<kind>{kind}</kind></harmony>"


@pytest.mark.parametrize(
    ("chords", "key"),
    [
        # A dominant seventh and its tonic (common practice, no source).
        ("A:dominant D:major G:major D:major", "D major"),
        ("B:half-diminished E:dominant A:minor A:minor", "A minor"),
    ],
)
def test_without_a_key_the_chords_tell_it_and_it_is_doubted(chords: str, key: str) -> None:
    bars = [_harmony(*each.split(":")) + note("D5", 4) for each in chords.split()]
    tune = build_tune(score(*bars, key=""), "x.xml")
    assert str(tune.key) == key
    (doubt,) = (each for each in tune.doubts if "no key is given" in each)
    assert f"its chords fit {key} (" in doubt and "the first is taken" in doubt
    named = build_tune(score(*bars), "x.xml")
    assert str(named.key) == "C major" and not any("no key is" in each for each in named.doubts)
