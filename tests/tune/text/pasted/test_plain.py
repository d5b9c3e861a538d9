"""Pasted text made plain, with places."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.tune.text.pasted.plain import Plain


def test_each_sign_has_its_place_in_what_was_pasted() -> None:
    plain = Plain.of("> “\u200bF”\r\n>\u00a0‖ Hx", "a mail")
    assert plain.text == '"F"\n|| Hx'
    place = plain.place(plain.text.index("H"))
    assert (place.line, place.column, place.source) == (2, 5, "a mail")


def test_signs_of_music_are_signs_of_a_keyboard() -> None:
    assert Plain.of("𝄆 G⁷ 𝄇 𝄎", "").text == "|: G7 :| %"


def test_what_no_page_prints_is_left_out() -> None:
    # Unicode 16: categories Cc and, of Cf, what turns the direction; pictures from U+1F000 on.
    said = "\u202eKites\u2069 \U0001f3b5\U0001f1e9\U0001f1ea\0\x1b[31m\x85|\tF |"
    assert Plain.of(said, "").text == "Kites [31m\n| F |"


@given(st.text(max_size=60))
def test_any_text_has_a_place_for_each_sign(text: str) -> None:
    plain = Plain.of(text, "a text")
    assert len(plain.text) == len(plain.origins)
    for index in range(len(plain.text)):
        place = plain.place(index)
        assert place.line is not None and place.column is not None and place.line >= 1


@given(st.text("|:[]12. FDGm7C/%-xN.ab\n", max_size=40))
def test_no_text_ends_in_anything_but_a_tune_or_our_error(text: str) -> None:
    from harmonykit.errors import HarmonyError
    from harmonykit.tune.text.pasted.message import read_message

    try:
        said = read_message(text)
    except HarmonyError as error:
        assert error.what
    else:
        assert said.sections
