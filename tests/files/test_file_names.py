"""Names of files."""

from __future__ import annotations

import string

from hypothesis import given
from hypothesis import strategies as st

from harmonykit.files.file import slug


@given(st.text())
def test_any_text_makes_a_safe_name(text: str) -> None:
    name = slug(text)
    assert 0 < len(name) <= 40
    assert set(name) <= set(string.ascii_lowercase + string.digits + "-")


def test_a_path_is_no_path_any_more() -> None:
    assert slug("../../etc/passwd") == "etc-passwd"


def test_sharps_and_flats_stay_apart() -> None:
    assert len({slug(name) for name in ("C7", "C#7", "Cb7", "C♯m7")}) == 4
