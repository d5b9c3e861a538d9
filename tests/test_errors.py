"""A message says what, where, the rule and the mend, in this order."""

from __future__ import annotations

from harmonykit.errors import HarmonyError, Place


class TuneTrouble(HarmonyError):
    """A floor's own kind of error."""


def test_a_whole_message() -> None:
    place = Place("quay.toml", 7, 9, "| C / | Hx7 |")
    error = HarmonyError("'Hx7' is not a chord", place=place, rule="a root is A to G", mend="B7")
    assert str(error).splitlines() == [
        "'Hx7' is not a chord",
        "  where: quay.toml, line 7, column 9",
        "      | C / | Hx7 |",
        "              ^",
        "  rule: a root is A to G",
        "  try: B7",
    ]


def test_the_caret_stands_under_the_character_meant() -> None:
    *_, shown, caret = Place("", 1, 5, "abcdefg").show().splitlines()
    assert shown[caret.index("^")] == "e"


def test_the_caret_keeps_its_place_after_a_tab() -> None:
    *_, shown, caret = Place("", 1, 3, "\tab").show().splitlines()
    assert "\t" not in shown
    assert shown[caret.index("^")] == "b"


def test_only_what_is_known_is_said() -> None:
    assert str(HarmonyError("no strings")) == "no strings"
    assert Place("quay.toml").show() == "quay.toml"
    assert Place(line=3).show() == "line 3"
    assert Place("quay.toml", 3, None, "| C |").show() == "quay.toml, line 3\n    | C |"


def test_a_reader_adds_the_file_around_the_place_it_was_told() -> None:
    inner = HarmonyError("'Q' is no root", place=Place("chord symbol", None, 1, "Q7"))
    outer = inner.at(Place("quay.toml", 12))
    assert outer.place == Place("quay.toml", 12, 1, "Q7")
    assert inner.place == Place("chord symbol", None, 1, "Q7")


def test_a_place_is_given_to_an_error_that_had_none() -> None:
    assert HarmonyError("too long").at(Place("quay.toml", 2)).place == Place("quay.toml", 2)


def test_a_placed_error_keeps_its_kind_its_rule_and_its_mend() -> None:
    placed = TuneTrouble("bar 3 is too long", rule="4 beats", mend="drop one").at(
        Place("quay.toml")
    )
    assert isinstance(placed, TuneTrouble)
    assert (placed.rule, placed.mend) == ("4 beats", "drop one")


def test_what_is_very_long_loses_its_middle() -> None:
    typed = "B" * 5_000 + "H" + "C" * 5_000
    place = Place("chord symbol", None, 5_001, typed)
    error = HarmonyError(f"{typed!r} is not a chord", place=place, mend=f'"{typed}"')
    what, _, shown, caret, mend = str(error).splitlines()
    assert what.startswith("'BBB") and what.endswith("CCC' is not a chord") and "BB…CC" in what
    assert len(what) <= 400 and len(shown) <= 180 and len(mend) <= 1_600
    assert shown[caret.index("^")] == "H" and shown.strip()[0] == shown.strip()[-1] == "…"
    again = error.at(Place("quay.toml", 3))
    assert again.what == error.what and str(again).count("…") == str(error).count("…")


def test_the_caret_is_under_its_character_wherever_a_long_line_is_cut() -> None:
    typed = "".join(chr(0x4E00 + n) for n in range(1_000))
    for column in (1, 2, 79, 80, 81, 500, 920, 921, 999, 1_000):
        _, shown, caret = Place("", 1, column, typed).show().splitlines()
        assert shown[caret.index("^")] == typed[column - 1] and len(shown) == 164


def test_only_the_long_line_of_several_is_cut() -> None:
    lines = ["a" * 300, "b" * 900, "c" * 300]
    first, second, third = HarmonyError("\n".join(lines)).what.split("\n")
    assert [first, third] == [lines[0], lines[2]] and second == "b" * 199 + "…" + "b" * 200
