"""A file of idioms: what is read, and that each fault has its place, its rule and what to type."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.arrange.idioms.idiom import FIELD
from harmonykit.arrange.idioms.reading import IDIOMS, MOST_IDIOMS, read_idioms
from harmonykit.errors import HarmonyError

GOOD = """\
[[idiom]]
name = "my cadence"
means = "Two chords before the last."
before = "V7 I"
after = ["IV/5 V7", "I"]
any_key = true
reason = "{1} goes before {2}, by {2:b7}"
"""


def read(tmp_path: Path, text: str) -> HarmonyError:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(HarmonyError) as caught:
        read_idioms(path)
    return caught.value


def test_a_file_of_ones_own_is_read(tmp_path: Path) -> None:
    path = tmp_path / "idioms.toml"
    path.write_text(GOOD, encoding="utf-8")
    (found,) = read_idioms(path).values()
    assert (found.name, found.any_key, len(found.row), found.first) == ("my cadence", True, 3, 0)
    assert found.stands == found.row
    assert dict(read_idioms(str(path))) == {"my cadence": found}


@pytest.mark.parametrize(
    ("old", "new", "what", "line"),
    [
        ('"V7 I"', '"V7 Hx"', "'Hx' is not a Roman numeral", 4),
        ('"IV/5 V7"', '"IV/5 Vq"', "'q' is not a chord suffix", 5),
        ("any_key = true", "any_key = 1", "any_key is 1", 6),
        ("any_key = true", "anykey = true", "unknown key 'anykey'", 6),
        ("any_key = true", 'where = "nowhere"', "unknown where 'nowhere'", 6),
        ("any_key = true", "bars = 99", "bars is 99", 6),
        ("any_key = true", 'mode = "dorian"', "unknown mode 'dorian'", 6),
        ('after = ["IV/5 V7", "I"]', "", '"before" without "after"', 4),
        ('after = ["IV/5 V7", "I"]', 'after = ["IV V7"]', '"after" has 1 texts, "before" has 2', 5),
        (
            'after = ["IV/5 V7", "I"]',
            'after = ["V7", "I"]',
            '"after" has the same chords as "before"',
            5,
        ),
        ('after = ["IV/5 V7", "I"]', 'after = ["IV:2 V7", "I"]', "some chords of the text", 5),
        ('after = ["IV/5 V7", "I"]', 'after = ["IV|iv", "I"]', "gives a choice", 5),
        ("{2:b7}", "{7}", "{7} is beyond the last chord", 7),
        ("{2:b7}", "{x}", "a brace does not name a chord", 7),
        ('name = "my cadence"', 'name = ""', "missing name", 2),
        ('name = "my cadence"', "name = 7", "name is 7", 2),
        ('means = "Two chords before the last."', "", "missing means", 1),
        ('"my cadence"', f'"{"long " * 20}"', "name has 100 characters", 2),
    ],
)
def test_a_fault_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, what: str, line: int
) -> None:
    error = read(tmp_path, GOOD.replace(old, new))
    assert what in error.what
    assert error.place is not None and error.place.source == "mine.toml"
    assert error.place.line == line


def test_limits(tmp_path: Path) -> None:
    many = "".join(GOOD.replace("my cadence", f"cadence {n}") for n in range(MOST_IDIOMS + 1))
    assert f"1 to {MOST_IDIOMS}" in read(tmp_path, many).rule
    assert "two idioms are named" in read(tmp_path, GOOD + GOOD.replace("my cad", "My cad")).what
    assert "not a table of idioms" in read(tmp_path, "[cadence]\nname = 'x'\n").what
    assert read(tmp_path, "").rule
    assert "missing file" in str(pytest.raises(HarmonyError, read_idioms, tmp_path / "no").value)


@pytest.mark.parametrize("idiom", IDIOMS.values(), ids=str)
def test_what_ships_is_whole(idiom: object) -> None:
    """Each has a meaning of one sentence; what writes says which notes or chords move."""
    from harmonykit.arrange.idioms.idiom import Idiom

    assert isinstance(idiom, Idiom)
    assert idiom.means.endswith(".") and len(idiom.means.split()) <= 25
    if idiom.after:
        assert len(FIELD.findall(idiom.reason)) >= 1 and not idiom.reason.endswith(".")
        assert len(idiom.reason.split()) <= 25
    assert idiom.layer == "skeleton"


@pytest.mark.parametrize(
    ("old", "new", "mend"),
    [
        ('after = ["IV/5 V7", "I"]', 'after = ["IV/5 V7 I"]', 'after = ["V7", "I"]'),
        ('before = "V7 I"', 'before = ["V7", "I"]', 'before = "V7 I"'),
        ('before = "V7 I"', "before = 7", 'before = "ii7 V7 I"'),
    ],
)
def test_what_to_type_is_made_of_what_was_typed(
    old: str, new: str, mend: str, tmp_path: Path
) -> None:
    assert old in GOOD
    assert read(tmp_path, GOOD.replace(old, new)).mend == mend
