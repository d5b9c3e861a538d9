"""The pictures of the README show what is drawn today; another version of a library may draw them.

Texts of figures must be the same, and their lines nearly as many; a page is compared as somebody
sees it who holds it at arm's length.
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"!\[([^\]]+)\]\((pictures/[\w.]+)\)", README)
MOST_BYTES = 150_000
# Squares of 16 dots: a moved line of text changes some of them, a lost figure many.
SQUARE, MEAN_APART, SQUARES_APART = 16, 3.0, 0.02


def made(name: str, folder: Path) -> bytes:
    asked = [sys.executable, str(ROOT / "shared" / "pictures.py"), name, "--out", str(folder)]
    subprocess.run(asked, check=True, capture_output=True)
    return (folder / name).read_bytes()


def test_three_pictures_are_shown_small_and_in_words() -> None:
    assert sorted(path for _, path in SHOWN) == sorted(
        path.relative_to(ROOT).as_posix() for path in (ROOT / "pictures").iterdir()
    )
    assert len(SHOWN) == 3
    for alt, path in SHOWN:
        assert len(alt.split()) >= 8
        assert 1_000 < (ROOT / path).stat().st_size < MOST_BYTES


def drawn(svg: bytes) -> tuple[list[str], int]:
    """Return the texts of a drawing in order, and how many shapes it has."""
    tree = list(ElementTree.fromstring(svg).iter())
    texts = ["".join(one.itertext()) for one in tree if one.tag.endswith(("}text", "}title"))]
    return texts, sum(one.tag.endswith(("}path", "}line", "}use", "}rect")) for one in tree)


@pytest.mark.parametrize(
    "name", ["between.svg", pytest.param("arrangement.svg", marks=pytest.mark.long)]
)
def test_a_figure_is_drawn_as_it_is_shown(name: str, tmp_path: Path) -> None:
    shown, now = drawn((ROOT / "pictures" / name).read_bytes()), drawn(made(name, tmp_path))
    assert shown[0] == now[0] and len(shown[0]) > 8
    assert now[1] == pytest.approx(shown[1], rel=0.1)


def squares(png: bytes) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    grey = Image.open(io.BytesIO(png)).convert("L")
    wide, high = (side // SQUARE for side in grey.size)
    small = grey.resize((wide, high), Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float64)


def apart(one: bytes, two: bytes) -> tuple[float, float]:
    """Return how far two pages are apart: the mean of grey levels, and the share of squares."""
    first, second = squares(one), squares(two)
    assert first.shape == second.shape
    off = np.abs(first - second)
    return float(np.mean(off)), float(np.mean(off > 24))


@pytest.mark.long
def test_the_page_is_set_as_it_is_shown(tmp_path: Path) -> None:
    mean, share = apart((ROOT / "pictures/handout.png").read_bytes(), made("handout.png", tmp_path))
    assert mean < MEAN_APART and share < SQUARES_APART


def test_a_page_that_lost_a_figure_is_seen() -> None:
    """The measure sees what it is for: a figure painted over, a page of something else."""
    png = (ROOT / "pictures/handout.png").read_bytes()
    page = Image.open(io.BytesIO(png)).convert("RGB")
    wide, high = page.size
    page.paste((255, 255, 255), (wide // 4, high // 4, wide * 3 // 4, high * 5 // 9))
    held = io.BytesIO()
    page.save(held, "PNG")
    mean, share = apart(png, held.getvalue())
    assert mean > MEAN_APART or share > SQUARES_APART
    assert apart(png, png) == (0, 0)
