"""The keys of a lesson's header: each is told, and has an effect or is refused."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

from harmonykit.arrange.chosen_lines import chosen_lines
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import toml_strings
from harmonykit.lesson.arranging import play_level
from harmonykit.lesson.plan.keys import HEADER, LEVEL, NEW, SOUND, Key, header_lines, typed_keys
from harmonykit.lesson.plan.model import Front, LessonError
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.lesson.plan.takes import PlayAlong
from harmonykit.lesson.statements.reference import reference

# A header in each format, by hand: the same lesson.
ONE = """+++
format = 1
title = "Fog"
subtitle = "Slowly"
group = "Quay"
sheet = "7"
tune = "fog.toml"
instrument = "ukulele"
also = ["guitar"]
chord = "Ddim7"
shape = "4545"
scale = "G minor"
from = "0201"
outputs = ["page", "script"]
variants = ["one ink"]
paper = "letter"
language = "pt-BR"
rights = "Ask."
[sound]
files = ["mid"]
slow = 0.5
[[levels]]
name = "Two"
moves = ["rootless dominant", "approach"]
prefer = "approach"
preset = "near the nut"
hand = 2
max_fret = 4
stretch_mm = 60
barre = "none"
least_seconds = 0.7
tempo = 90
watch = "The fourth finger."
+++

## The idea
"""
TWO = """+++
format = 2
title = "Fog"
subtitle = "Slowly"
class = "Quay"
number_in_course = "7"
minutes = 45
plan = "side by side"
numerals = "no"
tune = "fog.toml"
key = "G"
idea = "delayed_tonic"
instrument = "ukulele"
other_instruments = ["guitar"]
chord = "Ddim7"
chord_shape = "4545"
scale = "G minor"
scale_shape = "0201"
outputs = ["page", "script"]
handout_variants = ["one ink"]
paper = "letter"
language = "pt-BR"
rights = "Ask."
[sound]
files = ["mid"]
slow = 0.5
[[levels]]
name = "Two"
moves = ["rootless dominant", "leading-tone diminished"]
prefer_move = "leading-tone diminished"
style = "low on the neck"
reach = "usual"
highest_fret = 4
stretch_mm = 60
barre = "none"
shortest_chord_seconds = 0.7
tempo = 90
watch = "The fourth finger."
+++

## The idea
"""


def front_of(lesson_path: Path, text: str) -> Front:
    lesson_path.write_text(text, encoding="utf-8")
    return read_lesson(lesson_path)[0]


def fault_of(lesson_path: Path, text: str) -> HarmonyError:
    with pytest.raises(HarmonyError) as caught:
        front_of(lesson_path, text)
    return caught.value


def test_both_formats_say_the_same(lesson_path: Path) -> None:
    new = replace(front_of(lesson_path, TWO), idea="")
    assert front_of(lesson_path, ONE) == new


def level_lines(*lines: str) -> str:
    """Return the header of format 2 with one level of these lines."""
    before, _, rest = TWO.partition("[[levels]]")
    return "\n".join([f"{before}[[levels]]", *lines, "+++" + rest.partition("\n+++")[2]])


# For each key that a level may have: a line that changes what is read, beside a level without it.
EFFECTS = {
    "name": 'name = "Mine"',
    "moves": 'moves = ["suspension"]',
    "walks": 'walks = "both"',
    "style": 'style = "smooth"',
    "idioms": 'idioms = ["delayed tonic"]',
    "chosen": 'moves = ["suspension"]\nchosen = ["1 Gm6"]',
    "texture": 'texture = "shells"',
    "density": 'density = "usual"',
    "contour": 'contour = "climbs"',
    "choruses": 'choruses = ["plain", "walking"]',
    "reach": 'reach = "wide"',
    "highest_fret": "highest_fret = 3",
    "stretch_mm": "stretch_mm = 44.5",
    "barre": 'barre = "full"',
    "shortest_chord_seconds": "shortest_chord_seconds = 0.4",
    "tempo": "tempo = 61",
    "groove": 'groove = "bossa"',
    "strum": 'strum = "D D U D"',
    "watch": 'watch = "Thumbs."',
    "practice": 'practice = ["hard change, tempi 60-100"]',
    "prefer_move": 'moves = ["suspension"]\nprefer_move = "suspension"',
}
# What this version cannot do yet, by its key: each value that is refused.
NOT_YET = {
    "texture": "one voice moves",
    "density": "sparse",
    "contour": "level",
}


def test_each_key_of_a_level_has_an_effect_or_is_refused() -> None:
    assert EFFECTS.keys() == {key.name for key in LEVEL} and NOT_YET.keys() < EFFECTS.keys()


@pytest.mark.parametrize("key", EFFECTS)
def test_a_key_of_a_level_has_its_effect(lesson_path: Path, key: str) -> None:
    plain = 'moves = ["suspension"]' if key == "prefer_move" else "moves = []"
    lines = EFFECTS[key] if "moves" in EFFECTS[key] else f"{plain}\n{EFFECTS[key]}"
    with_it = front_of(lesson_path, level_lines(lines)).levels
    assert with_it != front_of(lesson_path, level_lines(plain)).levels


def test_walks_are_moves(lesson_path: Path) -> None:
    (level,) = front_of(lesson_path, level_lines('walks = "descending"')).levels
    assert level.moves == ("descending walk",)
    fault = fault_of(lesson_path, level_lines('walks = "none"', 'moves = ["ascending walk"]'))
    assert "ascending" in fault.mend


@pytest.mark.parametrize("key", NOT_YET)
def test_what_is_not_there_yet_is_refused_and_said_so(lesson_path: Path, key: str) -> None:
    fault = fault_of(lesson_path, level_lines("tempo = 90", f'{key} = "{NOT_YET[key]}"'))
    assert "not yet" in fault.what and NOT_YET[key] in fault.what
    assert fault.place is not None and fault.place.text.startswith(key)
    plain = front_of(lesson_path, level_lines("tempo = 90"))
    assert front_of(lesson_path, level_lines("tempo = 90", f'{key} = "any"')) == plain


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ('texture = "shels"', 'texture = "shells"'),
        ('reach = "widde"', 'reach = "wide"'),
        ('walks = "assending"', 'walks = "ascending"'),
        ("hand = 2", "reach"),
        ("least_seconds = 1", "shortest_chord_seconds"),
        ("textur = 'any'", "texture"),
    ],
)
def test_a_slip_is_told_what_to_type(lesson_path: Path, line: str, mend: str) -> None:
    fault = fault_of(lesson_path, level_lines("tempo = 90", line))
    assert mend in fault.mend
    assert fault.place is not None and fault.place.text == line


@pytest.mark.parametrize(("old", "new"), [("group", "class"), ("also", "other_instruments")])
def test_a_name_of_the_other_format_is_told(lesson_path: Path, old: str, new: str) -> None:
    assert new in fault_of(lesson_path, TWO.replace(f"\n{new} =", f"\n{old} =", 1)).mend
    assert "format = 2" in fault_of(lesson_path, ONE.replace(f"\n{old} =", f"\n{new} =", 1)).mend


# A line for each key of the header that changes what is read.
HEADER_EFFECTS = {
    "title": '"Mist"', "subtitle": '"Fast"', "class": '"Slip"', "number_in_course": '"8"',
    "instrument": '"tenor ukulele, low G"', "other_instruments": '["baritone ukulele"]',
    "chord": '"Fdim7"', "chord_shape": '"1212"', "scale": '"D minor"', "scale_shape": '"3535"',
    "outputs": '["page"]', "handout_variants": "[]", "paper": '"a4"', "language": '"en"',
    "rights": '"Mine."', "tune": '"heron_landing"', "minutes": "30", "key": '"A"',
    "idea": '"four_dominants"', "plan": '"in a row"', "numerals": '"yes"',
}  # fmt: skip


def test_the_header_is_told_whole() -> None:
    told = "\n".join(header_lines())
    assert "\n".join(reference()).count(told) == 1
    header, sound, level = re.split(r"\n\[+(?:sound|levels)\]+\n", told)
    for lines, keys in ((header, HEADER), (sound, SOUND), (level, LEVEL)):
        named = re.findall(r"^(\w+) =", lines, re.M)
        assert named == [key.name for key in keys if key.kind is not dict and key.example]


def test_the_sounds_keys_are_those_that_are_read() -> None:
    assert [key.name for key in SOUND] == [field.name for field in fields(PlayAlong)]


@pytest.mark.parametrize("key", [*HEADER, *SOUND, *LEVEL], ids=lambda key: key.name)
def test_each_key_says_what_it_means_and_what_holds_without_it(key: Key) -> None:
    assert key.meaning and key.default
    assert key.former in ("", NEW) or key.former != key.name
    assert not set(key.values) & set(key.later)


@pytest.mark.parametrize("key", HEADER_EFFECTS)
def test_a_key_of_the_header_has_its_effect(lesson_path: Path, key: str) -> None:
    plain = front_of(lesson_path, TWO)
    text, count = re.subn(rf"(?m)^{key} = .*$", f"{key} = {HEADER_EFFECTS[key]}", TWO)
    assert count == 1
    try:
        changed = front_of(lesson_path, text)
    except HarmonyError as error:  # Another chord, scale or instrument has other shapes.
        assert key in ("instrument", "chord", "chord_shape", "scale", "scale_shape"), error
    else:
        assert changed != plain


def test_every_key_of_the_header_is_tried() -> None:
    structure = {"format", "class_file", "tune_number", "sound", "levels"}
    framing = {"intro", "ending"}
    assert HEADER_EFFECTS.keys() | structure | framing == {key.name for key in HEADER}


def test_an_intro_and_an_ending_are_bars_of_the_lessons_tune(lesson_path: Path) -> None:
    """Four bars before it, three after it; several choruses have neither."""
    framed = TWO.replace("idea =", 'intro = "last four bars"\nending = "tag"\nidea =')
    plain, found = front_of(lesson_path, TWO).tune, front_of(lesson_path, framed).tune
    assert found.bar_count == 4 + plain.bar_count + 3
    assert (found.order[0], found.order[-1]) == ("intro", "tag")
    fault_of(lesson_path, framed.replace('"tag"', '"tap"'))
    choruses = re.sub(r"(?m)^(moves|prefer_move|style) = .*\n", "", framed)
    choruses = choruses.replace("[[levels]]", '[[levels]]\nchoruses = ["plain", "rich"]')
    assert "without intro and tag" in str(fault_of(lesson_path, choruses))


def test_a_level_has_its_own_strokes_in_its_own_groove(lesson_path: Path) -> None:
    lines = ('groove = "shuffle"', 'strum = "D - D U - U D U"')
    (level,) = front_of(lesson_path, level_lines(*lines)).levels
    assert level.groove is not None and level.groove.strum == "D - D U - U D U"
    assert (level.groove.name, level.groove.swing) == ("shuffle", 2)
    own = 'format = 1\nname = "mine"\nmeter = "4/4"\nstrum = "R - - D"\n'
    (lesson_path.parent / "mine.toml").write_text(own, encoding="utf-8")
    (level,) = front_of(lesson_path, level_lines('groove = "mine"')).levels
    assert level.groove is not None and level.groove.strum == "R - - D"


@pytest.mark.parametrize(
    ("line", "column", "mend"),
    [
        ('strum = "D - D Q"', 16, ""),
        ('groove = "waltz"', 1, "calypso"),
        ('groove = "shufle"', 1, "shuffle"),
    ],
)
def test_a_strum_that_cannot_be_played_is_refused_at_its_place(
    line: str, column: int, mend: str, lesson_path: Path
) -> None:
    fault = fault_of(lesson_path, level_lines("tempo = 90", line))
    assert fault.place is not None and fault.place.text == line
    assert fault.place.column == column and mend in fault.mend


@pytest.mark.parametrize(
    ("value", "mend"),
    [
        # What is near is offered, but what a later version has is not: then all that there is.
        ("sharpp", 'sign = "sharp"'), ("flaat", 'sign = "flat"'),
        ("double-flaat", 'sign = "sharp" or sign = "flat"'),
        ("xyzzy", 'sign = "sharp" or sign = "flat"'),
    ],
)  # fmt: skip
def test_a_value_near_one_that_is_known_is_offered(value: str, mend: str) -> None:
    key = Key("sign", str, '"sharp"', "", "none", values=("sharp", "flat"), later=("double-flat",))
    with pytest.raises(LessonError) as caught:
        key.check(value, Place("a.md", 3))
    assert caught.value.what == f"sign = {value!r} is unknown" and caught.value.mend == mend
    assert caught.value.rule == "it is one of 'sharp', 'flat'"
    assert key.check("flat", Place("a.md", 3)) == "flat"
    with pytest.raises(LessonError) as caught:
        key.check("double-flat", Place("a.md", 3))
    assert caught.value.what == "sign = 'double-flat': not yet"
    assert caught.value.mend == 'sign = "sharp", or leave the line out'


def test_a_key_is_told_with_what_it_may_be_and_what_it_will_be() -> None:
    keys = (
        Key("sign", str, '"sharp"', "how it is spelled", "any", values=("sharp", "flat"),
            later=("double-flat",)),
        Key("name", str, '"Fog"', "what it is called", "needed"),
        Key("old", str, "", "", ""),
    )  # fmt: skip
    assert [" ".join(line.split()) for line in typed_keys(keys)] == [
        'sign = "sharp" # how it is spelled (left out: any)', "# one of sharp, flat",
        "# not yet: double-flat", 'name = "Fog" # what it is called (needed)',
    ]  # fmt: skip


def test_a_level_has_the_chords_that_are_chosen_and_no_others(lesson_path: Path) -> None:
    asked = ('moves = ["leading-tone diminished", "rootless dominant"]', "tempo = 60")
    front = front_of(lesson_path, level_lines(*asked))
    first, *rest = chosen_lines(play_level(front, 0).arrangement)
    bar, _, _ = first.partition("@")
    kept = tuple(line for line in (first, *rest) if line.startswith(f"{bar}@"))
    assert len(kept) <= len(rest)
    front = front_of(lesson_path, level_lines(*asked, f"chosen = {toml_strings(kept)}"))
    assert chosen_lines(play_level(front, 0).arrangement) == kept
    fault = fault_of(lesson_path, level_lines(*asked, 'chosen = ["99 C6"]'))
    assert "has no bar 99" in fault.what and fault.place is not None
    fault = fault_of(lesson_path, level_lines("moves = []", 'chosen = ["1 C6"]'))
    assert fault.what == "chosen and no moves in one level"
