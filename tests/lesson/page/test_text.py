"""Markdown on a page: safe, in order, its shapes to be heard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from harmonykit.lesson.page.text import shape_pattern, to_html
from harmonykit.lesson.plan.model import LessonError


@pytest.mark.parametrize(
    "markdown, ranks",
    [
        ("# a\n\n# b", [3, 3]),
        ("### a", [3]),
        ("# a\n\n### b\n\n# c", [3, 4, 3]),
        ("###### a\n\n###### b\n\n###### c\n\n###### d\n\n###### e", [3, 4, 5, 6, 6]),
    ],
)
def test_headings_stand_below_the_sections_and_skip_no_rank(
    markdown: str, ranks: list[int]
) -> None:
    html = to_html(markdown, 4)
    assert [int(rank) for rank in re.findall(r"<h(\d)>", html)] == ranks
    assert [int(rank) for rank in re.findall(r"</h(\d)>", html)] == ranks


@pytest.mark.parametrize(
    "bad",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[x](javascript:alert(1))",
        "[x](data:text/html;base64,AAAA)",
        "![x](https://example.org/x.png)",
        "![2-3-2-3](https://example.org/x.png)",
        "`</script>`",
        "[x]: javascript:alert(1)\n\n[x]",
    ],
)
def test_nothing_of_the_text_becomes_an_element_that_acts(bad: str) -> None:
    html = to_html(bad, 4)
    assert not re.search(r"<(script|img|iframe|/script)|<\w+[^>]* (href|src|on\w+)=", html)


def test_a_link_to_a_page_stays_a_link() -> None:
    assert '<a href="https://example.org/">x</a>' in to_html("[x](https://example.org/)", 4)


def test_shapes_are_buttons_but_not_in_headings_links_or_code() -> None:
    def heard(markdown: str) -> list[str]:
        return re.findall(r'data-frets="([^"]*)"', to_html(markdown, 4))

    assert heard("Hold **2-3-2-3**, then 10-x-10-12.") == ["2-3-2-3", "10-x-10-12"]
    assert heard("| a |\n| --- |\n| 2-3-2-3 |") == ["2-3-2-3"]
    for quiet in ("# 2-3-2-3", "[2-3-2-3](https://example.org/)", "`2-3-2-3`", "1-2-3", "4-28"):
        assert heard(quiet) == []


def test_a_shape_has_as_many_places_as_the_instrument_has_strings() -> None:
    assert shape_pattern(6).fullmatch("x-3-2-0-1-0")
    assert not shape_pattern(6).search("2-3-2-3 and 1-2-3-4-5-6-7")


def test_a_picture_beside_the_lesson_is_put_in_whole(tmp_path: Path) -> None:
    (tmp_path / "hand.png").write_bytes(b"png bytes")
    html = to_html("![my hand](hand.png)", 4, folder=tmp_path)
    # "png bytes" in base64, the bits by hand.
    assert '<img alt="my hand" src="data:image/png;base64,cG5nIGJ5dGVz">' in html
    assert "<img" not in to_html("![it](https://example.org/x.png)", 4, folder=tmp_path)
    for wrong in ("foot.png", "../hand.png", "hand.txt"):
        with pytest.raises(LessonError, match="cannot be put in"):
            to_html(f"![it]({wrong})", 4, folder=tmp_path)
