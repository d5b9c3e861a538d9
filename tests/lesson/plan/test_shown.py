"""The gate: no shape leaves a lesson under the name of a chord that it does not sound.

What a shape sounds is worked out here from the open strings; what a chord is, from semitones.
Usual omissions: common practice, no source.
"""

from __future__ import annotations

import ast
import csv
import io
import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from harmonykit.arrange.score import to_musicxml
from harmonykit.draw.tree import Mark
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import build_lesson, load_lesson
from harmonykit.lesson.cues import cues_of
from harmonykit.lesson.handout.pdf import handout_data
from harmonykit.lesson.plan.model import Lesson, LessonError
from harmonykit.lesson.plan.shown import (
    Shown,
    along_the_neck,
    bare_diagram,
    diagram,
    lacking,
    leading,
    strings_that_move,
    whole,
)
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
OPEN = {"ukulele": (67, 60, 64, 69), "guitar": (40, 45, 50, 55, 59, 64)}
KINDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "7": (0, 4, 7, 10),
    "m7": (0, 3, 7, 10), "°7": (0, 3, 6, 9), "maj7": (0, 4, 7, 11), "m7♭5": (0, 3, 6, 10),
}  # fmt: skip
SPOKEN = {
    "": "", "m": "minor", "6": "six", "m6": "minor six", "7": "seven", "m7": "minor seven",
    "°7": "diminished seven",
}  # fmt: skip


def shown(frets: str, chord: str, instrument: str = "ukulele") -> Shown:
    return Shown(Voicing.parse(frets, Instrument.named(instrument)), Chord.parse(chord))


RIGHT = [
    ("0003", "C", ""), ("2213", "F6", ""), ("2213", "Dm7", ""),
    # G9sus4 is G C D F A, and 2-2-1-3 on g C E A is A D F C.
    ("2213", "G9sus4", "without its root"),
    # C7 over B flat's bass: the bass is another player's on four strings.
    ("0003", "C/Bb", "without its bass"),
    ("0001", "C7", ""), ("0201", "C9", "without its root"),
]  # fmt: skip
WRONG = [
    ("3434", "C7"), ("0000", "Gb7"), ("0003", "C7"), ("0003", "Am7"), ("0003", "Cm"),
    ("0003", "C6"), ("0003", "Bb"), ("2323", "Bbdim7"), ("0232", "G7"), ("0000", "C"),
    ("2223", "Adim7"), ("x003", "C6"),
]  # fmt: skip


@pytest.mark.parametrize(("frets", "chord", "said"), RIGHT)
def test_what_sounds_the_chord_passes_and_says_what_it_lacks(
    frets: str, chord: str, said: str
) -> None:
    pair = shown(frets, chord)
    assert pair.lacking == said
    assert ("(no " in pair.printed) == bool(said)
    assert pair.rootless == (said == "without its root")


@pytest.mark.parametrize(("frets", "chord"), WRONG)
def test_what_sounds_something_else_is_refused_with_what_it_sounds(frets: str, chord: str) -> None:
    with pytest.raises(HarmonyError, match="does not sound") as caught:
        shown(frets, chord)
    heard = [name for name in re.split(r", | and ", caught.value.rule.split(";")[0]) if name]
    assert "it sounds" in heard[0] and caught.value.mend


def test_on_many_strings_a_named_bass_is_the_lowest_note() -> None:
    assert not shown("032010", "C/E", "guitar").lacks
    with pytest.raises(HarmonyError, match="lowest note is C, not E"):
        shown("x32010", "C/E", "guitar")
    # A foreign bass that is left out is said to be.
    assert shown("x32010", "C/D", "guitar").lacking == "without its bass"


def test_a_whole_chord_is_asked_of_a_shape_that_is_carried_up() -> None:
    assert whole(Voicing.parse("2213", UKULELE), Chord.parse("F6")).lacking == ""
    with pytest.raises(HarmonyError):
        whole(Voicing.parse("2213", UKULELE), Chord.parse("G9sus4"))


def test_a_fifth_that_is_left_out_is_told_and_not_printed_in_the_symbol() -> None:
    """x32310 on the guitar is C E B flat C E."""
    pair = shown("x32310", "C7", "guitar")
    assert (pair.lacking, pair.printed) == ("without its fifth", "C7")
    assert lacking([pair]) == "Without its fifth: C7 (x-3-2-3-1-0)."


def test_what_shapes_lack_is_said_once_by_what_it_is() -> None:
    pairs = [shown("2213", "G9sus4"), shown("2213", "F6"), shown("2213", "G9sus4")]
    assert lacking(pairs) == "Without its root: G9sus4 (2-2-1-3)."
    assert lacking([shown("2213", "F6")]) == ""


def test_a_level_cannot_be_made_with_a_wrong_pair(lesson_path: Path) -> None:
    (played,) = load_lesson(lesson_path).played
    arrangement = played.arrangement
    for index, step in enumerate(arrangement.steps):
        assert step.chord is not None
        wrong = replace(step, chord=Chord.parse("F#maj7"))
        steps = (*arrangement.steps[:index], wrong, *arrangement.steps[index + 1 :])
        with pytest.raises(LessonError, match=r"bar \d: .* does not sound F#maj7"):
            replace(played, arrangement=replace(arrangement, steps=steps))


def test_a_header_cannot_be_made_with_a_wrong_pair(lesson_path: Path) -> None:
    front = load_lesson(lesson_path).front
    for key, frets in (("shape", "0003"), ("scale_shape", "0003"), ("scale_shape", "2213")):
        with pytest.raises(HarmonyError, match="does not sound"):
            replace(front, **{key: Voicing.parse(frets, UKULELE)})
    with pytest.raises(HarmonyError, match="does not sound"):
        replace(front, shape_chord=Chord.parse("Cdim7"))


HEADER = [
    ('from = "0201"', 'from = "0003"', "Gm6 is G, B♭, D and E"),
    ('from = "0201"', 'from = "2213"', "does not sound Gm6"),
    ('shape = "4545"', 'shape = "0003"', "does not sound Ddim7"),
    ('shape = "4545"', 'shape = "3434"', "does not sound Ddim7"),
    ('chord = "Ddim7"', 'chord = "D7"', "does not sound D7"),
    ('scale = "G minor"', 'scale = "D major"', "does not sound D6"),
]  # fmt: skip
CALLS = [
    'diagram("3434", "C7")', 'diagram("0000", "Gb7")', 'diagram("2323", "Bdim7", was="2223")',
    'side_by_side("3433", "C7", "3434", "C7")',
    'sounds("3434", "C7")', 'sounds("0003", "C/Bb")', 'proved("sounds", "0003", "Am")',
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words"), HEADER)
def test_a_wrong_pair_in_the_header_is_refused_at_its_key(
    lesson_path: Path, old: str, new: str, words: str
) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        load_lesson(lesson_path)
    assert words in str(caught.value)
    assert caught.value.place is not None and caught.value.place.line


@pytest.mark.parametrize("call", CALLS)
def test_a_wrong_pair_in_a_call_is_refused_at_the_call(lesson_path: Path, call: str) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(f"{text}\n{{{{ {call} }}}}\n", encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        load_lesson(lesson_path)
    assert caught.value.place is not None and call in caught.value.place.text


def test_every_call_that_takes_a_shape_and_a_chord_is_tried_above() -> None:
    """A new call with both is a new entry of ``CALLS``."""
    from harmonykit.lesson.statements.functions import Functions
    from harmonykit.lesson.statements.signature import EXAMPLES

    taking = set()
    for name in EXAMPLES:
        method = getattr(Functions, name, None) or getattr(Functions, f"_{name}", None)
        parameters = method.__annotations__ if method else {}
        if {"frets", "chord"} <= set(parameters):
            taking.add(name)
    assert taking == {"diagram", "sounds"}


def test_named_shapes_are_drawn_behind_the_gate_alone(root: Path) -> None:
    """No other file of the lesson floor draws a diagram, a neck or strings that move."""
    drawing = {"draw_box", "draw_neck", "draw_voices"}
    for path in sorted((root / "harmonykit" / "lesson").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {
            alias.name for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
            for alias in node.names
        }  # fmt: skip
        assert path.name == "shown.py" or not names & drawing, path.name


# A whole build, read back.


def pcs_of(symbol: str) -> frozenset[int]:
    """Return the notes of a printed symbol, by arithmetic."""
    found = re.fullmatch(r"([A-G])([♯♭]?)([^/]*)", symbol)
    assert found is not None and found[3] in KINDS, symbol
    root = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[found[1]]
    root += {"♯": 1, "♭": -1, "": 0}[found[2]]
    return frozenset((root + n) % 12 for n in KINDS[found[3]])


def heard(digits: str, strings: tuple[int, ...]) -> frozenset[int]:
    frets = digits.split("-")
    pairs = zip(strings, frets, strict=True)
    return frozenset((string + int(fret)) % 12 for string, fret in pairs if fret != "x")


def agrees(symbol: str, digits: str, strings: tuple[int, ...]) -> bool:
    """Whether a shape sounds a chord, but for a plain fifth of a chord of four notes."""
    wanted, found = pcs_of(symbol), heard(digits, strings)
    missing = wanted - found
    root = min(wanted, key=lambda pc: pc != _root(symbol))
    return found <= wanted and missing <= ({(root + 7) % 12} if len(wanted) > 3 else set())


def _root(symbol: str) -> int:
    letters = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    return (letters[symbol[0]] + {"♯": 1, "♭": -1}.get(symbol[1:2], 0)) % 12


SYMBOL = r"[A-G][♯♭]?(?:°7|m7♭5|m6|m7|maj7|6|7|m)?"
DIGITS = r"(?:\d+|x)(?:-(?:\d+|x))+"


@pytest.fixture(scope="module", params=["ukulele", "guitar"])
def built(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, write_lesson: object
) -> tuple[Lesson, Path, tuple[int, ...]]:
    assert callable(write_lesson)
    path: Path = write_lesson(tmp_path_factory.mktemp("shown"))
    text = path.read_text(encoding="utf-8")
    text = text.replace('group = "Quay"', 'outputs = ["script", "page", "handout", "scores"]')
    text += "\n## Shapes\n\n{{ lowered_diagrams() }}\n\n{{ scale_shapes() }}\n\n"
    text += "{{ neck() }}\n\n{{ staff(1) }}\n"
    if request.param == "guitar":
        text = text.replace('"ukulele"', '"guitar"').replace('shape("4545")', "shape()")
        text = text.replace('notes("4545")', "notes()")
        text = re.sub(r"(?m)^(shape|from) = .*\n", "", text)
    path.write_text(text, encoding="utf-8")
    out = build_lesson(path, path.parent / "out")
    return load_lesson(path), out, OPEN[request.param]


def test_every_pair_of_the_script_sounds_its_chord(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    _, out, strings = built
    script = (out / "script.md").read_text(encoding="utf-8")
    pairs = re.findall(rf"({SYMBOL}) ({DIGITS})(?![-\d])", script)
    pairs += re.findall(rf"\| ({SYMBOL}) \| ({DIGITS}) \|", script)
    assert len(pairs) > 20
    for symbol, digits in pairs:
        assert agrees(symbol, digits, strings), (symbol, digits)


def test_every_pair_of_the_page_sounds_its_chord(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    _, out, strings = built
    page = unescape((out / "page.html").read_text(encoding="utf-8"))
    cells = re.findall(rf">({SYMBOL})</b>.{{0,400}}?the shape ({DIGITS})", page, re.S)
    cells += re.findall(rf"<td[^>]*>({SYMBOL})</td>\s*<td[^>]*>.{{0,300}}?({DIGITS})", page, re.S)
    assert len(cells) >= 4
    for symbol, digits in cells:
        assert agrees(symbol, digits, strings), (symbol, digits)


def cells_of(data: object) -> Iterator[tuple[str, str]]:
    """Yield the names and digits that stand together anywhere in a handout's data."""
    if isinstance(data, dict):
        if data.get("name") and data.get("digits"):
            yield str(data["name"]), str(data["digits"])
        for value in data.values():
            yield from cells_of(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from cells_of(value)


def test_every_pair_of_the_handout_sounds_its_chord(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    lesson, _, strings = built
    data = handout_data(lesson)
    pairs = list(cells_of(data["lessons"]))
    parents = data["lessons"][0]["parents"]
    pairs += [(row[1], row[2]) for row in parents["rows"] if row[2] != "–"]
    assert len(pairs) > 6
    for symbol, digits in pairs:
        assert agrees(symbol, digits, strings), (symbol, digits)


ALT = re.compile(
    r"^([A-G])( sharp| flat)?(?: (diminished seven|minor six|minor seven|minor|six|seven))?: (.+)$"
)
PLACE = re.compile(r"(open|\w+ fret), the note ([A-G])( double)?( sharp| flat)?")


def test_every_diagram_has_the_notes_of_the_chord_over_it(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    lesson, _, _ = built
    names = {words: kind for kind, words in SPOKEN.items()}
    sign = {" sharp": 1, " flat": -1, "": 0}
    letters = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    seen = 0
    alts = [figure["alt"] for figure in handout_data(lesson)["figures"]]
    cues = [cue.picture for cue in cues_of(lesson).values() if cue.picture]
    alts += [drawing.alt for picture in cues for drawing in picture.drawings]
    for alt in alts:
        found = ALT.match(alt)
        places = PLACE.findall(found[4]) if found else []
        if found is None or not places or "string" not in found[4]:
            continue
        root = letters[found[1]] + sign[found[2] or ""]
        wanted = {(root + n) % 12 for n in KINDS[names[found[3] or ""]]}
        notes = {
            (letters[letter] + sign[accidental] * (2 if double else 1)) % 12
            for _, letter, double, accidental in places
        }
        assert notes <= wanted, alt
        seen += 1
    assert seen >= 6


def test_every_frame_of_the_score_sounds_its_symbol(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    """Read with music21, which takes a symbol's notes from its own tables."""
    from defusedxml.ElementTree import fromstring
    from music21 import harmony

    lesson, out, strings = built
    score = next(out.glob("*.musicxml")).read_text(encoding="utf-8")
    assert score == to_musicxml(
        lesson.played[0].arrangement, title=f"{lesson.front.tune.title}: Leading"
    )
    tree = fromstring(score)
    frames = 0
    for found in tree.iter("harmony"):
        frame, kind = found.find("frame"), found.find("kind")
        if frame is None or kind is None:
            continue
        step, alter = found.findtext("root/root-step"), found.findtext("root/root-alter") or "0"
        root = f"{step}{ {'1': '#', '-1': '-'}.get(alter.strip(), '') }".replace(" ", "")
        wanted = {p.pitchClass for p in harmony.ChordSymbol(root=root, kind=kind.text).pitches}
        first = int(frame.findtext("first-fret") or "1")
        notes = {
            (strings[len(strings) - int(n.findtext("string") or 0)] + int(n.findtext("fret") or 0))
            % 12
            for n in frame.iter("frame-note")
        }
        assert first >= 1 and notes <= wanted, (root, kind.text, notes)
        frames += 1
    assert frames >= 4


def test_every_event_of_the_page_is_a_note_of_its_chord(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    """What is plucked while a chord lasts are notes of that chord."""
    lesson, _, _ = built
    (played,) = lesson.played
    performance = played.performance
    starts = [start for _, start in performance.steps]
    for event in performance.events:
        if event.string is None or event.string < 0 or event.kind == "click":
            continue
        # A hand may be early by so many milliseconds.
        early = played.arrangement.strum.timing / 1000 + 1e-6
        index = max(
            (i for i, start in enumerate(starts) if start <= event.onset + early), default=0
        )
        chord = played.arrangement.steps[performance.steps[index][0]].chord
        assert chord is not None and event.midi % 12 in pcs_of(chord.unicode)


def test_what_is_proved_is_in_the_table_of_facts(
    built: tuple[Lesson, Path, tuple[int, ...]],
) -> None:
    _, out, _ = built
    rows = list(csv.reader(io.StringIO((out / "facts.csv").read_text(encoding="utf-8"))))
    assert rows[0][3] == "proved" and {row[3] for row in rows[1:]} == {"yes", "no"}


def test_on_four_strings_another_bass_is_said() -> None:
    """0-0-0-3 on g4 C4 E4 A4 is G, C, E, C: its lowest note is the C; 0-4-0-3 has E lowest."""
    over = shown("0003", "C/E")
    assert over.lacking == "with C lowest, not its bass E"
    assert diagram(over).alt.endswith("; with C lowest, not its bass E")
    assert lacking([over]) == "With C lowest, not its bass E: C/E (0-0-0-3)."
    assert shown("0403", "C/E").lacking == shown("0003", "C").lacking == ""
    assert shown("0003", "C/C").lacking == ""
    with pytest.raises(HarmonyError, match="does not sound C/E"):
        shown("x32010", "C/E", "guitar")


def test_what_a_diagram_lacks_is_in_its_description() -> None:
    """C7 is C, E, G, B flat: 3-0-0-1 on g4 C4 E4 A4 is B flat, C, E, B flat."""
    assert diagram(shown("3001", "C7")).alt.endswith("; without its fifth")


def mend_of(frets: str, chord: str, gate: object = Shown, name: str = "ukulele") -> str:
    with pytest.raises(HarmonyError) as caught:
        gate(Voicing.parse(frets, Instrument.named(name)), Chord.parse(chord))  # type: ignore[operator]
    return caught.value.mend


def test_three_shapes_are_offered_the_lowest_first() -> None:
    """Common first shapes of the ukulele, common practice: C is 0-0-0-3, D7 2-2-2-3."""
    mend = mend_of("2323", "C")
    found = re.fullmatch(r"C is (\S+), (\S+) or (\S+) on the ukulele", mend)
    assert found is not None and found[1] == "0-0-0-3"
    sums = [sum(map(int, digits.split("-"))) for digits in found.groups()]
    assert sums == sorted(sums)
    for digits in found.groups():
        assert heard(digits, OPEN["ukulele"]) == {0, 4, 7}
    # Where every note is asked for, none of what is offered lacks one.
    for digits in re.findall(DIGITS, mend_of("2323", "C7", whole)):
        assert heard(digits, OPEN["ukulele"]) == {0, 4, 7, 10}
    # Five notes on four strings cannot be had.
    assert mend_of("0000", "C7b9", whole) == "another shape, or another chord"


def test_a_shape_of_many_strings_is_offered_with_its_bass() -> None:
    mend = mend_of("x32010", "C/E", Shown, "guitar")
    assert mend == "C, or a shape with E lowest"
    for digits in re.findall(DIGITS, mend_of("x02210", "C/E", Shown, "guitar")):
        lowest = min(
            string + int(fret)
            for string, fret in zip(OPEN["guitar"], digits.split("-"), strict=True)
            if fret != "x"
        )
        assert lowest % 12 == 4


def test_what_a_shape_that_leads_a_lesson_may_lack() -> None:
    """3-0-0-1 is B flat, C, E, B flat: C7 without its fifth. G9sus4 has more notes than strings."""
    assert leading(Voicing.parse("3001", UKULELE), Chord.parse("C7")).lacking == "without its fifth"
    sus = leading(Voicing.parse("2213", UKULELE), Chord.parse("G9sus4"))
    assert sus.lacking == "without its root"
    # D, F and B: G7 has as many tones as there are strings, so it has no need to lose its root.
    assert "G7 is" in mend_of("x212", "G7", leading)
    guitar = Instrument.named("guitar")
    assert "C9 is" in mend_of("xx2333", "C9", leading, "guitar")
    assert whole(Voicing.parse("x32010", guitar), Chord.parse("C")).shape.digits == "x-3-2-0-1-0"


def test_what_stands_over_a_diagram() -> None:
    sus = shown("2213", "G9sus4")
    assert "G9sus4 (no root)" in "".join(diagram(sus).sheet.texts)
    unnamed = diagram(sus, named=False)
    assert not any("sus" in text for text in unnamed.sheet.texts)
    assert unnamed.alt.endswith("; without its root")
    d7 = shown("2223", "D7")
    assert "the major third" in diagram(d7).alt and "major third" not in diagram(d7, plain=True).alt
    assert diagram(d7, plain=True).sheet.texts[0] == "D7"
    bare = bare_diagram(Voicing.parse("2223", UKULELE), name="D7")
    assert "D7" not in bare.sheet.texts


def test_lists_of_what_shapes_lack() -> None:
    """Two chords lack a root, one of them in two shapes; one lacks its fifth; one is whole."""
    pairs = [
        shown("2213", "G9sus4"), shown("3001", "C7"), shown("0003", "C"),
        shown("0201", "C9"), shown("2213", "G9sus4"),
    ]  # fmt: skip
    assert lacking(pairs) == (
        "Without the root: G9sus4 (2-2-1-3), C9 (0-2-0-1). Without its fifth: C7 (3-0-0-1)."
    )
    assert lacking([shown("0003", "C")]) == ""


def test_along_the_neck_and_along_the_strings() -> None:
    """A diminished seventh stands between its neighbours as passing, and has no root of its own."""
    row = [shown("0000", "C6"), shown("1212", "Bdim7"), shown("0003", "C")]
    marks = {mark.role for mark in along_the_neck(row).sheet.all(Mark)}
    assert "passing" in marks and "root" in marks
    plain = along_the_neck([row[0], row[2]])
    assert "passing" not in {mark.role for mark in plain.sheet.all(Mark)}
    moving = strings_that_move(row)
    for name in ("C6", "B°7", "C"):
        assert name in moving.sheet.texts
    alone = {mark.role for mark in strings_that_move([row[1], row[1]]).sheet.all(Mark)}
    assert alone <= {"note"}
