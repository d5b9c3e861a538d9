"""The header of a lesson file: what it says, what it leaves out, and faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.model import OUTPUTS, Front
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.plan.starts import climb
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune


def changed(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def front_with(path: Path, *lines: str, instrument: str | None = None) -> Front:
    """Return the header with lines in the place of its group."""
    changed(path, 'group = "Quay"', "\n".join(lines))
    return read_lesson(path, instrument=instrument)[0]


def fault_of(path: Path) -> HarmonyError:
    with pytest.raises(HarmonyError) as caught:
        read_lesson(path)
    return caught.value


# What is changed in the file, the line of the message, and words that it must have.
FAULTS = [
    ("format = 1", "format = 3", 2, "format 3 is not known here"),
    ('instrument = "ukulele"', 'instrument = "ukelele"', 6, "ukulele"),
    ('shape = "4545"', 'shape = "232"', 7, "string"),
    ('chord = "Ddim7"', 'chord = "Adimx"', 8, "Adimx"),
    ('scale = "G minor"', 'scale = "C lydian"', 9, "not a sixth-diminished scale"),
    ('group = "Quay"', "group = 3", 4, "text in quotes"),
    ('group = "Quay"', 'groop = "Quay"', 4, "group"),
    ("hand = 3", "hand = 4", 15, "hand = 4 is unknown"),
    ("tempo = 120", "tempo = 4", 16, "20 to 400"),
    ("tempo = 120", "least_seconds = 0", 16, "0.2 to 10"),
    ("tempo = 120", "least_seconds = 'long'", 16, "a number"),
    ('group = "Quay"', 'also = ["ukulele", "gong"]', 4, "gong"),
    ('group = "Quay"', 'outputs = ["smell"]', 4, "sound"),
    ("[[levels]]", "[sound]\nfiles = ['vinyl']\n[[levels]]", 12, "vinyl"),
    ('"rootless dominant"', '"dominant"', 14, "unknown move"),
    ("tempo = 120", "max_fret = 40", 16, "the ukulele has"),
    ("tempo = 120", "max_fret = -1", 16, "0 or more"),
    ("tempo = 120", "max_fret = 5.5", 16, "a whole number"),
    ("tempo = 120", "stretch_mm = -5", 16, "0 or more"),
    ("tempo = 120", "stretch_mm = 'wide'", 16, "a number"),
    ("tempo = 120", "barre = 'ful'", 16, 'try: "full"'),
    ("tempo = 120", "preset = 'near the nuts'", 16, "'low on the neck'"),
    ("tempo = 120", "strech_mm = 60", 16, "stretch_mm"),
    ('group = "Quay"', 'language = "English, please"', 4, "en or pt-BR"),
]


@pytest.mark.parametrize(("old", "new", "line", "words"), FAULTS)
def test_a_fault_is_placed(lesson_path: Path, old: str, new: str, line: int, words: str) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    assert old in text
    lesson_path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        read_lesson(lesson_path)
    assert words in str(caught.value)
    assert caught.value.place is not None and caught.value.place.line == line
    assert caught.value.place.source == "small.md"


def test_a_chord_is_pointed_at_by_column(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8").replace('"Ddim7"', '"Adimx"', 1)
    lesson_path.write_text(text, encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        read_lesson(lesson_path)
    place = caught.value.place
    assert place is not None and place.column is not None
    assert place.text[place.column - 1 :].startswith("x")


@pytest.mark.parametrize("key", ["title", "tune", "instrument", "chord"])
def test_a_missing_key_is_named(lesson_path: Path, key: str) -> None:
    lines = lesson_path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(f"{key} =")]
    lesson_path.write_text("\n".join(kept), encoding="utf-8")
    with pytest.raises(HarmonyError, match=f"{key} is missing"):
        read_lesson(lesson_path)


def test_a_lesson_needs_no_scale_and_says_so_where_one_is_asked_for(lesson_path: Path) -> None:
    lines = lesson_path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("scale =", "from ="))]
    lesson_path.write_text("\n".join(kept), encoding="utf-8")
    front, _ = read_lesson(lesson_path)
    assert front.scale is front.scale_shape is None
    with pytest.raises(HarmonyError, match="the lesson has no scale") as caught:
        climb(front)
    assert caught.value.mend == 'scale = "C major"'
    shape = [line for line in lines if not line.startswith("scale =")]
    lesson_path.write_text("\n".join(shape), encoding="utf-8")
    with pytest.raises(HarmonyError, match="from without scale"):
        read_lesson(lesson_path)


def test_a_tune_is_played_in_the_key_of_the_lesson(lesson_path: Path) -> None:
    """G minor up a whole step is A minor, and so is each root; a tune keeps its mode."""
    text = lesson_path.read_text(encoding="utf-8").replace("format = 1", 'format = 2\nkey = "A"')
    for old, new in (("group", "class"), ("shape", "chord_shape"), ("from", "scale_shape")):
        text = text.replace(f"\n{old} =", f"\n{new} =")
    text = text.replace("hand = 3", 'reach = "wide"')
    lesson_path.write_text(text, encoding="utf-8")
    moved = read_lesson(lesson_path)[0].tune
    written = read_tune(lesson_path.with_name("fog.toml"))
    pairs = zip(written.changes, moved.changes, strict=True)
    roots = [(a.chord.root.pitch_class, b.chord.root.pitch_class) for a, b in pairs
             if a.chord and b.chord]  # fmt: skip
    assert str(moved.key) == "A minor" and roots
    assert all((after - before) % 12 == 2 for before, after in roots)


def test_a_chord_is_pointed_at_by_its_very_sign(lesson_path: Path) -> None:
    """chord = "Adimx" on line 8: the quotation mark is column 9, the x column 14."""
    changed(lesson_path, '"Ddim7"', '"Adimx"')
    place = fault_of(lesson_path).place
    assert place is not None
    assert (place.line, place.column, place.text) == (8, 14, 'chord = "Adimx"')


def test_a_value_as_a_whole_is_pointed_at_by_its_first_letter(lesson_path: Path) -> None:
    changed(lesson_path, '"G minor"', '"C lydian"')
    fault = fault_of(lesson_path)
    assert fault.place is not None and (fault.place.line, fault.place.column) == (9, 10)
    assert fault.mend == 'scale = "C major"'


def test_a_tune_that_is_not_there_is_pointed_at_where_it_is_named(lesson_path: Path) -> None:
    changed(lesson_path, '"fog.toml"', '"frog.toml"')
    place = fault_of(lesson_path).place
    assert place is not None and (place.source, place.line, place.column) == ("small.md", 5, 9)


def test_a_fault_inside_the_tune_is_told_of_the_tune(lesson_path: Path) -> None:
    changed(lesson_path.with_name("fog.toml"), "Bb7", "Bb7xyz")
    place = fault_of(lesson_path).place
    assert place is not None and place.source == "fog.toml" and place.line == 10


@pytest.mark.parametrize(
    ("old", "new", "column", "words"),
    [
        ('group = "Quay"', 'paper = "a5"', 1, 'paper = "a4" or paper = "letter"'),
        ('group = "Quay"', 'language = "e"', 1, 'language = "en"'),
        ('group = "Quay"', 'language = "en-"', 1, "BCP 47"),
        ("format = 1", "format = 0", 1, "format = 2"),
        ('group = "Quay"', 'variants = ["small print"]', 1, "'large print'"),
        ('group = "Quay"', 'variants = ["one ink, small print"]', 1, "'large print'"),
        ('group = "Quay"', 'variants = ["letter"]', 1, 'paper = "letter"'),
        ('group = "Quay"', 'variants = ["tablet, tablet landscape"]', 1, "two variants"),
    ],
)
def test_what_would_work_is_told(
    lesson_path: Path, old: str, new: str, column: int, words: str
) -> None:
    changed(lesson_path, old, new)
    fault = fault_of(lesson_path)
    assert words in f"{fault.rule} {fault.mend}"
    assert fault.place is not None and fault.place.column == column


def test_the_start_of_a_kind_of_handout_is_told_which_it_is(lesson_path: Path) -> None:
    changed(lesson_path, 'group = "Quay"', 'variants = ["large"]')
    assert fault_of(lesson_path).mend == "'large print'"


def test_what_a_lesson_leaves_out(lesson_path: Path) -> None:
    front = front_with(lesson_path, "")
    assert (front.subtitle, front.group, front.sheet, front.rights) == ("", "", "", "")
    assert (front.outputs, front.variants, front.also) == (OUTPUTS, (), ())
    assert (front.paper, front.language) == ("a4", "en")


def test_what_a_lesson_says(lesson_path: Path) -> None:
    front = front_with(
        lesson_path,
        'subtitle = "Slowly"', 'group = "Quay"', 'sheet = "7"', 'rights = "Ask the author."',
        'outputs = ["page", "script", "page"]', 'variants = ["one ink"]', 'paper = "Letter"',
        'also = ["guitar", "Guitar"]', 'language = "pt-BR"',
    )  # fmt: skip
    assert (front.subtitle, front.group, front.sheet) == ("Slowly", "Quay", "7")
    assert front.rights == "Ask the author."
    assert (front.outputs, front.variants) == (("page", "script"), ("one ink",))
    assert (front.paper, front.language, front.also) == ("letter", "pt-BR", ("guitar",))


def test_six_instruments_and_six_levels_at_most(lesson_path: Path, tmp_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    level = '[[levels]]\nname = "Leading"'

    def front(instruments: int, levels: int) -> Front:
        also = ", ".join(['"guitar"'] * instruments)
        other = text.replace('group = "Quay"', f"also = [{also}]")
        more = "".join(f'[[levels]]\nname = "More {n}"\n' for n in range(levels - 1))
        path = lesson_path.with_name("other.md")
        path.write_text(other.replace(level, more + level), encoding="utf-8")
        return read_lesson(path)[0]

    assert len(front(6, 6).levels) == 6
    with pytest.raises(HarmonyError, match="also has 7 entries") as caught:
        front(7, 1)
    assert caught.value.rule == "6 at most"
    with pytest.raises(HarmonyError, match="7 levels") as caught:
        front(1, 7)
    assert caught.value.rule == "1 to 6 [[levels]] tables"
    assert [each.name for each in front(0, 3).levels] == ["More 0", "More 1", "Leading"]


def test_a_list_of_levels_that_are_not_tables(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    before, _, rest = text.partition("[[levels]]")
    lesson_path.write_text(before + "levels = []\n+++\n" + rest.partition("+++")[2])
    assert "0 levels" in str(fault_of(lesson_path))
    lesson_path.write_text(before + "levels = [3]\n+++\n" + rest.partition("+++")[2])
    fault = fault_of(lesson_path)
    assert "1 level" in str(fault) and fault.rule == "1 to 6 [[levels]] tables"
    assert fault.place is not None and fault.place.line == 12


def test_another_instrument_has_shapes_of_its_own(lesson_path: Path) -> None:
    """The digits are the ukulele's; the guitar's are found, and sound the same chords."""
    front = front_with(lesson_path, "", instrument="guitar")
    assert front.instrument.name == "guitar"
    assert len(front.shape.frets) == len(front.scale_shape.frets) == 6
    assert front.shape.pcs == front.shape_chord.pcs
    assert front.scale_shape.pcs == front.scale.chord.pcs


def test_shapes_that_a_lesson_does_not_name_are_found(lesson_path: Path) -> None:
    """Ddim7 is D, F, A flat, B: 1-2-1-2 on g4 C4 E4 A4 is A flat, D, F, B."""
    changed(lesson_path, 'shape = "4545"\n', "")
    changed(lesson_path, 'from = "0201"\n', "")
    front, _ = read_lesson(lesson_path)
    assert front.shape.digits == "1-2-1-2"
    assert front.scale_shape.digits == "0-2-0-1"


def test_strings_as_they_are_tuned_stand_for_a_name(lesson_path: Path) -> None:
    changed(lesson_path, '"ukulele"', '"G4 C4 E4 A4"')
    front, _ = read_lesson(lesson_path)
    assert len(front.instrument.strings) == 4 and front.shape.digits == "4-5-4-5"


def test_a_number_picks_a_tune_and_another_tune_takes_its_place(
    lesson_path: Path, tmp_path: Path
) -> None:
    """An ABC file (standard 2.1) with two tunes, each under its own X:."""
    book = (
        'X:1\nT:First\nM:4/4\nL:1/4\nK:C\n"C"CDEF|\n\nX:2\nT:Second\nM:4/4\nL:1/4\nK:C\n"C"EFGA|\n'
    )
    (tmp_path / "book.abc").write_text(book, encoding="utf-8")
    changed(lesson_path, '"fog.toml"', '"book.abc"')
    changed(lesson_path, 'group = "Quay"', "number = 2")
    assert read_lesson(lesson_path)[0].tune.title == "Second"
    assert read_lesson(lesson_path, number=1)[0].tune.title == "First"
    other = read_lesson(lesson_path, tmp_path / "fog.toml")[0]
    assert other.tune.title == "Four Bars of Fog"


def test_a_lesson_takes_its_class_and_its_length_from_the_class_file(tmp_path: Path) -> None:
    (tmp_path / "ours.toml").write_text(
        'format = 1\nname = "Ours"\ninstruments = ["ukulele"]\nminutes = 50\n'
        '[grips]\nukulele = ["C 0003"]\n', encoding="utf-8"
    )  # fmt: skip
    path = tmp_path / "one.md"
    shipped = find_data("lessons", "four_dominants").read_text("utf-8")
    path.write_text(
        shipped.replace("format = 2", 'format = 2\nclass_file = "ours.toml"', 1), "utf-8"
    )
    front = read_lesson(path)[0]
    assert front.minutes == 50 and front.knows is not None and len(front.knows.grips) == 1
    changed(path, "format = 2", "format = 2\nminutes = 30")
    assert read_lesson(path)[0].minutes == 30
    changed(path, "ours.toml", "none.toml")
    said = str(fault_of(path))
    assert "one.md, line 4" in said and "not found in the folder of one.md" in said


def test_a_class_that_ships_is_named_by_its_bare_name_and_one_beside_comes_first(
    tmp_path: Path,
) -> None:
    path = tmp_path / "one.md"
    path.write_text(find_data("lessons", "scale_of_chords").read_text("utf-8"), encoding="utf-8")
    knows = read_lesson(path)[0].knows
    assert knows is not None and "Tuesday ukulele" in knows.name and len(knows.grips) > 1
    own = 'format = 1\nname = "Ours"\ninstruments = ["ukulele"]\n'
    (tmp_path / "tuesday_ukulele").write_text(own, encoding="utf-8")
    knows = read_lesson(path)[0].knows
    assert knows is not None and knows.name == "Ours"
    (tmp_path / "tuesday_ukulele").unlink()
    changed(path, '"tuesday_ukulele"', '"tuesday_ukuleles"')
    said = str(fault_of(path))
    assert "not found in the folder of one.md" in said
