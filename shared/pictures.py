"""The pictures of the README, made anew by ``.venv/bin/python shared/pictures.py``.

They stand in ``pictures/`` and show what the commands of the README make.
``tests/test_pictures.py`` holds that they still do; after a change of what is drawn run this, and
look at them.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path

import harmonykit as hk
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.pdf import handout_data
from harmonykit.lesson.handout.typeset import compiler

FOLDER = Path(__file__).resolve().parents[1] / "pictures"
PPI = 96


def handout() -> bytes:
    """Return the first page of the handout of the lesson that the README builds, as PNG."""
    data = json.dumps(handout_data(load_lesson("stiff_dominant")), ensure_ascii=False)
    pages = compiler("handout", data).compile(format="png", ppi=PPI)
    first = pages[0] if isinstance(pages, list) else pages
    assert isinstance(first, bytes)
    return first


def between() -> bytes:
    """Return the chords between two diminished sevenths, a figure of the workbook, as SVG."""
    return hk.draw.cube("C#dim7").as_file().encode()


def arrangement() -> bytes:
    """Return eight bars of an included tune, richly harmonised, as SVG."""
    tune = hk.read_tune("bell_on_the_bar")
    rich = hk.reharmonise(tune, "ukulele", k=1, wishes=hk.Wishes(style="rich"))[0]
    return hk.draw.staff(rich, 1, 8).as_file().encode()


PICTURES: dict[str, Callable[[], bytes]] = {
    "handout.png": handout,
    "between.svg": between,
    "arrangement.svg": arrangement,
}


def main() -> None:
    """Write the pictures that are named, or all."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("names", nargs="*", help=f"of {', '.join(PICTURES)}")
    parser.add_argument("--out", type=Path, default=FOLDER, help="write to this folder")
    given = parser.parse_args()
    given.out.mkdir(exist_ok=True)
    for name in given.names or PICTURES:
        (given.out / name).write_bytes(PICTURES[name]())
        print(given.out / name)


if __name__ == "__main__":
    main()
