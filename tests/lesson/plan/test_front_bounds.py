"""The header at its limits: the last value that may stand and the first that may not.

And what is left out is what the list of keys says holds without it.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.model import Front
from harmonykit.lesson.plan.source import read_lesson

NEEDED = {
    "format": "2",
    "title": '"Low water"',
    "tune": '"fog.toml"',
    "instrument": '"ukulele"',
    "chord": '"Ddim7"',
}
# What holds where a key is left out, typed out by hand from the list that a teacher reads.
LEFT_OUT = {
    "subtitle": '""', "class": '""', "minutes": "45", "plan": '"side by side"',
    "number_in_course": '""', "key": '"G minor"', "intro": '"none"', "ending": '"none"',
    "other_instruments": "[]", "outputs": '["script", "page", "handout", "scores", "sound"]',
    "handout_variants": "[]", "paper": '"a4"', "numerals": '"no"', "language": '"en"',
    "rights": '""',
}  # fmt: skip


@pytest.fixture
def folder(lesson_path: Path) -> Path:
    """Return a folder with a tune in it."""
    return lesson_path.parent


def written(folder: Path, more: dict[str, str], without: str = "", levels: str = "") -> Path:
    keys = {key: value for key, value in {**NEEDED, **more}.items() if key != without}
    lines = [f"{key} = {value}" for key, value in keys.items()]
    table = "" if without == "levels" else levels or '[[levels]]\nname = "As written"'
    path = folder / "mine.md"
    path.write_text("\n".join(["+++", *lines, table, "+++", "## The idea", ""]), "utf-8")
    return path


def front(folder: Path, **more: str) -> Front:
    return read_lesson(written(folder, more))[0]


def fault(folder: Path, **more: str) -> HarmonyError:
    with pytest.raises(HarmonyError) as caught:
        front(folder, **more)
    return caught.value


def test_a_class_meets_for_twenty_minutes_to_three_hours(folder: Path) -> None:
    for minutes in (20, 21, 179, 180):
        assert front(folder, minutes=str(minutes)).minutes == minutes
    for minutes in (-30, 0, 19, 181):
        wrong = fault(folder, minutes=str(minutes))
        assert wrong.what == f"minutes is {minutes}" and wrong.rule == "20 to 180 minutes"
        assert wrong.place is not None and wrong.place.text == f"minutes = {minutes}"


def test_what_is_left_out_is_what_the_list_of_keys_says(folder: Path) -> None:
    plain = front(folder)
    for key, value in LEFT_OUT.items():
        if key in ("intro", "ending") or value == '""':
            continue
        said = front(folder, **{key: value})
        assert replace(said, tune=plain.tune) == plain, key
        assert [bar.changes for bar in said.tune.bars] == [bar.changes for bar in plain.tune.bars]
    assert (plain.subtitle, plain.group, plain.sheet, plain.rights, plain.idea) == ("",) * 5
    assert plain.scale is plain.scale_shape is plain.knows is None and plain.numerals is False


@pytest.mark.parametrize(
    ("key", "values"),
    [("plan", ("side by side", "in a row")), ("paper", ("a4", "letter")),
     ("language", ("en", "pt-BR", "gsw", "zh-Hant-TW", "de-1996", "sl-nedis", "en-abcdefgh"))],
)  # fmt: skip
def test_each_word_that_may_stand_is_kept(folder: Path, key: str, values: tuple[str, ...]) -> None:
    for value in values:
        assert getattr(front(folder, **{key: f'"{value}"'}), key) == value


def test_numerals_are_a_yes_or_a_no(folder: Path) -> None:
    assert front(folder, numerals='"yes"').numerals is True
    assert front(folder, numerals='"no"').numerals is False


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("plan", "in row"), ("numerals", "maybe"), ("paper", "a5"), ("intro", "loud"),
        ("ending", "never"), ("language", "e"), ("language", "engl"), ("language", "en-"),
        ("language", "en-a"), ("language", "en_GB"), ("language", "en-abcdefghi"),
        ("language", "en GB"), ("language", ""), ("chord", "Hdim"), ("key", "H minor"),
        ("tune", "nowhere.toml"), ("instrument", "G4 C4 H4 A4"), ("instrument", "ukelele"),
    ],
)  # fmt: skip
def test_a_word_that_may_not_stand_is_placed_at_its_line(
    folder: Path, key: str, value: str
) -> None:
    wrong = fault(folder, **{key: f'"{value}"'})
    assert wrong.place is not None
    assert (wrong.place.source, wrong.place.text) == ("mine.md", f'{key} = "{value}"')


@pytest.mark.parametrize("key", [*NEEDED, "levels"])
def test_what_is_missing_is_named_and_told_as_it_is_typed(folder: Path, key: str) -> None:
    """What is offered, put into the file, mends it."""
    with pytest.raises(HarmonyError, match=f"{key} is missing") as caught:
        read_lesson(written(folder, {}, without=key))
    wrong = caught.value
    assert wrong.mend.startswith("[[levels]]" if key == "levels" else f"{key} = ")
    typed = wrong.mend.replace(", and below it ", "\n")
    more = {} if key == "levels" else {key: typed.partition(" = ")[2]}
    mended = written(folder, more, levels=typed if key == "levels" else "")
    assert read_lesson(mended)[0].levels[0].name == "As written"


@pytest.mark.parametrize("key", ["title", "subtitle", "class", "number_in_course", "rights"])
def test_a_sign_that_no_sheet_can_print_is_pointed_at(folder: Path, key: str) -> None:
    wrong = fault(folder, **{key: '"ab\u4e00c"'})
    assert wrong.place is not None
    assert wrong.place.text == f'{key} = "ab\u4e00c"'
    assert wrong.place.column == len(f'{key} = "ab') + 1
    assert front(folder, **{key: '"abc"'}).title in ("abc", "Low water")


def test_a_missing_format_is_the_one_whose_keys_are_used(folder: Path) -> None:
    for more, number in (({}, 2), ({"number_in_course": '"4"'}, 2), ({"also": "[]"}, 1)):
        with pytest.raises(HarmonyError, match="format is missing") as caught:
            read_lesson(written(folder, more, without="format"))
        assert caught.value.mend == f"format = {number}"


@pytest.mark.parametrize("value", ["0", "3", "1.0", "2.0", "true", '"2"'])
def test_a_format_is_a_whole_number_that_is_known(folder: Path, value: str) -> None:
    wrong = fault(folder, format=value)
    assert wrong.rule == "this version reads formats 1 and 2" and wrong.mend == "format = 2"
    assert wrong.place is not None and wrong.place.text == f"format = {value}"


def test_names_are_kept_once_in_their_order(folder: Path) -> None:
    said = front(folder, outputs='["page", "script", "page"]',
                 other_instruments='["guitar", "baritone ukulele", "guitar"]')  # fmt: skip
    assert said.outputs == ("page", "script") and said.also == ("guitar", "baritone ukulele")


def test_a_list_ends_somewhere(folder: Path) -> None:
    def named(key: str, value: str, count: int) -> dict[str, str]:
        return {key: f"[{', '.join([value] * count)}]"}

    assert front(folder, **named("outputs", '"page"', 99)).outputs == ("page",)
    assert fault(folder, **named("outputs", '"page"', 100)).rule == "99 at most"
    assert front(folder, **named("handout_variants", '"one ink"', 99)).variants == ("one ink",)
    assert fault(folder, **named("handout_variants", '"one ink"', 100)).rule == "99 at most"
    assert front(folder, **named("other_instruments", '"guitar"', 6)).also == ("guitar",)
    wrong = fault(folder, **named("other_instruments", '"guitar"', 7))
    assert (wrong.what, wrong.rule) == ("other_instruments has 7 entries", "6 at most")


def test_a_scale_brings_its_shape_and_a_shape_needs_its_scale(folder: Path) -> None:
    """D minor six: D F A B; on g4 C4 E4 A4 the frets 2-2-1-2 are A D F B (by hand)."""
    said = front(folder, scale='"D minor"', scale_shape='"2212"')
    assert said.scale_shape is not None and said.scale_shape.digits == "2-2-1-2"
    assert fault(folder, scale_shape='"2212"').what == "scale_shape without scale"
    found = front(folder, scale='"D minor"').scale_shape
    assert found is not None and sorted(found.pcs) == [2, 5, 9, 11]
    for wrong in ('"D"', '"D lydian"', '"minor"'):
        assert "not a sixth-diminished scale" in fault(folder, scale=wrong).what


def test_a_shape_for_one_neck_is_not_another_instruments(folder: Path) -> None:
    """Named as the lesson names it, or by its strings, it is the lesson's own."""
    path = written(folder, {"chord_shape": '"4545"'})
    assert read_lesson(path)[0].shape.digits == "4-5-4-5"
    assert read_lesson(path, instrument="ukulele")[0].shape.digits == "4-5-4-5"
    other = read_lesson(path, instrument="ukulele low g")[0]
    assert other.instrument.name == "ukulele low g" and other.shape.digits != "4-5-4-5"
    own = read_lesson(path, instrument="D3 G3 B3 E4")[0]
    assert [int(pitch) for pitch in own.instrument.midi] == [50, 55, 59, 64]


def test_a_tune_beside_the_lesson_comes_before_one_that_ships(folder: Path) -> None:
    shipped = front(folder, tune='"heron_landing"').tune
    assert shipped.title == "Heron Landing"
    fog = (folder / "fog.toml").read_text("utf-8")
    (folder / "heron_landing").write_text(fog, "utf-8")
    with pytest.raises(HarmonyError):
        # A file without a name that says its kind is told, not passed over for the one that ships.
        front(folder, tune='"heron_landing"')
    (folder / "heron_landing").unlink()
    (folder / "own.toml").write_text(fog.replace("Four Bars of Fog", "Own Fog"), "utf-8")
    assert front(folder, tune='"own.toml"').tune.title == "Own Fog"
    assert front(folder, key='"A minor"').tune.key.tonic.name == "A"


def test_a_file_of_a_million_bytes_is_read_and_one_of_a_byte_more_is_not(folder: Path) -> None:
    path = written(folder, {})
    size = path.stat().st_size
    path.write_bytes(path.read_bytes() + b"\n" * (1_000_000 - size))
    assert read_lesson(path)[0].title == "Low water"
    path.write_bytes(path.read_bytes() + b"\n")
    with pytest.raises(HarmonyError):
        read_lesson(path)
