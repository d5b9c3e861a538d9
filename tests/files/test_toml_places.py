"""Where the keys and texts of a TOML file stand."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.files.toml_places import TomlPlaces

SOURCE = '''# [[sections]] in a comment
title = "a # b = \\"c\\""
form = [
  "A", # "B"
  "C = 1",
]

[[sections]]
name = "A"   # first
changes = """
| C |
x = 1
"""

[[sections]]
"name" = 'B'
changes = "| \\u2669 D |"
'''


def line_of(text: str, nth: int = 1) -> int:
    lines = SOURCE.split("\n")
    return [n for n, line in enumerate(lines, 1) if text in line][nth - 1]


@pytest.mark.parametrize(
    ("address", "line", "column"),
    [
        (("", 0, "title"), 2, 1),
        (("", 0, "form"), 3, 1),
        (("sections", 0, "name"), line_of('name = "A"'), 1),
        (("sections", 0, "changes"), line_of('changes = """'), 1),
        (("sections", 1, "name"), line_of("'B'"), 2),
        (("sections", 1, "nothing"), line_of("[[sections]]", 3), 3),
        (("nowhere", 0, "x"), None, None),
        (("sections", 0, "x"), line_of("[[sections]]", 2), 3),
    ],
)
def test_a_key_or_what_is_around_it(address, line, column):
    place = TomlPlaces.of("f.toml", SOURCE).key(address)
    assert (place.source, place.line, place.column) == ("f.toml", line, column)


@pytest.mark.parametrize(
    ("address", "sign", "shown"),
    [
        (("sections", 0, "changes"), "C", "| C |"),
        (("sections", 1, "changes"), "D", 'changes = "| \\u2669 D |"'),
        (("", 0, "title"), "c", 'title = "a # b = \\"c\\""'),
    ],
)
def test_a_character_inside_a_string(address, sign, shown):
    value = tomllib.loads(SOURCE)
    for part in address:
        value = value[part] if part not in ("", 0, 1) else value if part != 1 else value[1]
        value = value[0] if isinstance(value, list) and address[1] == 0 else value
    place = TomlPlaces.of("f.toml", SOURCE).within(address, value.index(sign))
    assert place.text == shown
    assert place.text[place.column - 1] == sign


def test_beyond_the_string_is_the_string():
    places = TomlPlaces.of("f.toml", SOURCE)
    assert places.within(("", 0, "title"), 999) == places.value(("", 0, "title"))
    # Of a list of strings, the first; "A" stands on the fourth line.
    assert places.within(("", 0, "form"), 0).line == 4
    assert places.within(("", 0, "form"), 0, item=9).line == 3


@given(
    st.text(st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n\t"), max_size=40)
)
def test_every_character_of_a_literal_string_is_found(text):
    text = text.replace("'", "’").replace("\r", "")
    source = f"a = 1\nb = '''\n{text}'''\n"
    places = TomlPlaces.of("f", source)
    value = tomllib.loads(source)["b"]
    for index, sign in enumerate(value):
        place = places.within(("", 0, "b"), index)
        found = (place.text + "\n")[place.column - 1]
        assert found == sign
