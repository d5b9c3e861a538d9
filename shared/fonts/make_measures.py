"""Write how wide the fonts that ship set the usual signs, and which signs they have.

A lesson measures a hundred short texts.  To open the fonts for that takes a twelfth of its time;
``measures.json`` is read in a thousandth.  What it lacks is still measured in the fonts.

Run it where harmonykit is installed, after a font has changed::

    python shared/fonts/make_measures.py

The same fonts give the same bytes.
"""

from __future__ import annotations

import json
from itertools import groupby, product
from pathlib import Path
from typing import Any

from harmonykit.draw.base import fonts

FILE = Path(__file__).resolve().parent / "measures.json"
USUAL = "".join(map(chr, range(0x20, 0x7F))) + "\xa0äöüÄÖÜßéèñ°·×øΔ–—‘’“”•…−♭♮♯𝄪𝄫→"


def measures() -> dict[str, Any]:
    """Return the code points that print, in runs, and the advances and the kerning of each weight.

    A sign has the number of the file that sets it and its advance there, in units of that file.
    """
    found: dict[str, Any] = {"printable": list(_runs(sorted(_printable())))}
    for weight, files in fonts.FILES.items():
        known = {sign: fonts.sign_of(ord(sign), weight) for sign in USUAL}
        em = [int(fonts.open_font(file)["head"].unitsPerEm) for file in files]
        place = {file: number for number, file in enumerate(files)}
        kern = {}
        for (left, one), (right, other) in product(known.items(), known.items()):
            units = fonts.kern_of(one[0], one[1], other[1]) if one[0] == other[0] else 0
            if units:
                kern[left + right] = round(units * em[place[one[0]]])
        signs = {
            sign: [place[file], round(advance * em[place[file]])]
            for sign, (file, _, advance) in known.items()
        }
        found[str(weight)] = {"em": em, "signs": signs, "kern": kern}
    return found


def _printable() -> set[int]:
    """Return the code points that the fonts of a sheet have in every style."""
    found: set[int] = set()
    for folder in fonts.FOLDERS:
        names = [f"{folder}/{file.name}" for file in sorted((FILE.parent / folder).glob("*.ttf"))]
        found |= set.intersection(*(set(fonts.glyph_names(name)) for name in names))
    return found


def _runs(codes: list[int]) -> list[list[int]]:
    runs = groupby(enumerate(codes), key=lambda item: item[1] - item[0])
    rows = [[code for _, code in run] for _, run in runs]
    return [[row[0], row[-1]] for row in rows]


def text() -> str:
    """Return what the file holds."""
    return json.dumps(measures(), ensure_ascii=False, separators=(",", ":")) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8", newline="\n")
