"""What the child process makes of bytes, called here without the process."""

from __future__ import annotations

import io
import random
import re
import signal
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.score import child as score_child
from harmonykit.score.child import answer
from harmonykit.score.interchange import MOST_SECONDS
from harmonykit.score.tune import build_tune

SCORE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"
  "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>-1</fifths>
<mode>major</mode></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<harmony><root><root-step>F</root-step></root><kind text="">major-sixth</kind></harmony>
<note><pitch><step>D</step><octave>5</octave></pitch><duration>4</duration></note></measure>
<measure number="2"><harmony><root><root-step>C</root-step></root><kind>dominant</kind>
<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type>
</degree></harmony><note><rest/><duration>4</duration></note>
<barline location="right"><repeat direction="backward"/></barline></measure></part></score-partwise>
"""
ABC = 'X:3\nT:Trial\nM:3/4\nL:1/4\nQ:1/4=90\nK:Gm\nD|"Gm"G>AB|"D7"(3ABA ^F|1 "Gm"G3:|2 "Cm"c2 z||\n'
CONTAINER = '<container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'


def zipped(**members: str | bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name.replace("__", "/").replace("_xml", ".xml"), data)
    return buffer.getvalue()


def error_of(data: bytes, suffix: str = ".xml", number: int | None = None) -> str:
    return str(answer(data, suffix, number)["error"])


def test_a_score_with_a_doctype_is_read():
    tune = build_tune(answer(SCORE.encode(), ".xml", None)["score"], "x.xml")
    # By hand: two bars in 4/4, repeated.
    assert [(c.chord.symbol, c.onset, c.beats) for c in tune.changes] == [
        ("F6", 0, 4),
        ("C7b9", 4, 4),
        ("F6", 8, 4),
        ("C7b9", 12, 4),
    ]
    assert str(tune.key) == "F major"
    assert [(str(s.note), s.onset) for s in tune.melody] == [("D5", 0), ("D5", 8)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_encodings(encoding):
    text = SCORE.replace("UTF-8", encoding)
    assert "score" in answer(text.encode(encoding), ".musicxml", None)


def test_a_compressed_score_is_the_first_root_file():
    data = zipped(
        **{
            "META-INF__container_xml": CONTAINER.format("in/a.xml"),
            "in__a_xml": SCORE,
            "b_xml": "<x/>",
        }
    )
    assert answer(data, ".mxl", None)["score"]["key"]["fifths"] == -1
    assert answer(zipped(a_xml=SCORE), ".mxl", None)["score"]["key"]["fifths"] == -1


ENTITY = '<!DOCTYPE a [<!ENTITY x "{}">]><score-partwise>&x;</score-partwise>'
LAUGHS = '<!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]><score-partwise>&b;</score-partwise>'
OUTSIDE = (
    '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><score-partwise>&x;</score-partwise>'
)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (ENTITY.encode(), "entities are refused"),
        (LAUGHS.encode(), "entities are refused"),
        (OUTSIDE.encode(), "entities are refused"),
        (b"<score-partwise>", "this is not XML"),
        (b"", "this is not XML"),
        (b"\xff\xfe\x00", "this is not XML"),
        (b"PK\x03\x04nonsense", "not a compressed score"),
        (zipped(readme="hello"), "holds no score"),
        (
            zipped(**{"META-INF__container_xml": CONTAINER.format("../../etc/passwd")}),
            "holds no score",
        ),
        (zipped(**{"META-INF__container_xml": LAUGHS}), "entities are refused"),
        (zipped(**{f"n{i}": "" for i in range(101)}), "too many files"),
    ],
)
def test_hostile_xml_is_refused(data, message):
    assert message in error_of(data)


def test_a_member_that_unpacks_to_too_much_is_refused():
    data = zipped(a_xml=b" " * (score_child.MOST_MEMBER_BYTES + 1))
    assert len(data) < 100_000
    assert "too large" in error_of(data, ".mxl")
    data = zipped(a_xml=b" " * score_child.MOST_MEMBER_BYTES)
    assert "not XML" in error_of(data, ".mxl")


def test_a_number_chooses_a_tune():
    two = ABC + "\n" + ABC.replace("X:3", "X:8").replace("Trial", "Other")
    assert answer(two.encode(), ".abc", 8)["score"]["title"] == "Other"
    assert "2 tunes" in error_of(two.encode(), ".abc")
    assert "3 Trial, 8 Other" in error_of(two.encode(), ".abc")
    assert "no tune with number 5" in error_of(two.encode(), ".abc", 5)
    assert answer(ABC.encode(), ".abc", None)["score"]["title"] == "Trial"
    assert "holds one tune" in error_of(SCORE.encode(), ".xml", 2)


def test_latin_1_is_read_and_said():
    score = answer(ABC.replace("Trial", "Tr\u00efal").encode("latin-1"), ".abc", None)["score"]
    assert score["title"] == "Tr\u00efal"
    assert (None, "the file is not UTF-8: read as Latin-1") in score["doubts"]


def test_an_abc_tune_by_hand():
    tune = build_tune(answer(ABC.encode(), ".abc", None)["score"], "x.abc")
    # Pick-up 1; Gm 3, D7 3, Gm 3; back to the first whole bar, since the one that closes is full:
    # Gm, D7, then Cm for 3.
    assert [(c.chord and c.chord.symbol, c.onset, c.beats) for c in tune.changes] == [
        (None, 0, 1),
        ("Gm", 1, 3),
        ("D7", 4, 3),
        ("Gm", 7, 3),
        ("Gm", 10, 3),
        ("D7", 13, 3),
        ("Cm", 16, 3),
    ]
    assert (str(tune.key), tune.meter, tune.tempo) == ("G minor", (3, 4), 90)
    assert [str(s.note) for s in tune.melody[:5]] == ["D4", "G4", "A4", "Bb4", "A4"]


ODD_VALUES = (b"", b"-1", b"0", b"99999999", b"1e9", b"nan", b"x", b"7", b"none", b"1/0", b"-0.5")


def mutated(data: bytes, chance: random.Random) -> bytes:
    spot = chance.randrange(len(data))
    span = chance.randrange(1, 30)
    piece = data[spot : spot + span]
    change = chance.choice(["cut", "twice", "swap", "digits", "value", "value"])
    if change == "value" and (values := list(re.finditer(rb">([^<>\s]+)<", data))):
        start, end = chance.choice(values).span(1)
        return data[:start] + chance.choice(ODD_VALUES) + data[end:]
    if change == "cut":
        return data[:spot] + data[spot + span :]
    if change == "twice":
        return data[:spot] + piece * chance.randrange(2, 5) + data[spot + span :]
    if change == "swap":
        other = chance.randrange(len(data))
        return data[:spot] + data[other : other + span] + data[spot + span :]
    return bytes(
        chance.choice(b"0123456789-/") if 48 <= c <= 57 and chance.random() < 0.1 else c
        for c in data
    )


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(
    ("count", "seed"), [(100, 20), pytest.param(1000, 21, marks=pytest.mark.long)]
)
@pytest.mark.parametrize(("suffix", "data"), [(".xml", SCORE), (".abc", ABC)])
def test_mutated_files_give_tunes_or_our_errors(suffix, data, count, seed):
    chance = random.Random(seed)
    outcomes = set()
    for _ in range(count):
        bad = mutated(mutated(data.encode(), chance), chance)
        with deadline():
            found = answer(bad, suffix, None)
            if "error" in found:
                assert found["error"]["what"]
                outcomes.add("refused")
            else:
                outcomes.add(outcome(found["score"], f"x{suffix}"))
    assert {"read", "refused"} <= outcomes


@contextmanager
def deadline() -> Iterator[None]:
    """Break off what uses as much of the processor as the child may: no file comes near it."""
    if not hasattr(signal, "setitimer"):
        yield
        return
    signal.signal(signal.SIGPROF, _late)
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def _late(*_: object) -> None:
    pytest.fail("a mutated file hangs")


def outcome(score: dict, name: str) -> str:
    try:
        tune = build_tune(score, name)
    except HarmonyError:
        return "no tune"
    assert sum(change.beats for change in tune.changes) == tune.length
    return "read"


def test_music21_never_sees_a_path(monkeypatch):
    def no_file(*_, **__):
        raise AssertionError("a file was opened")

    import music21.abcFormat
    import music21.musicxml.xmlToM21  # noqa: F401

    monkeypatch.setattr("music21.converter.parse", no_file)
    monkeypatch.setattr(Path, "open", no_file)
    assert "score" in answer(SCORE.encode(), ".xml", None)
    assert "score" in answer(ABC.encode(), ".abc", None)
