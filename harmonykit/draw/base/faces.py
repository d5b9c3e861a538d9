"""Our fonts as CSS, the files within it: what a page or a panel brings along.

Text is set in Harmonykit Sans, a cut of Source Sans 3 under a name of its own, and the accidentals
of chord symbols in Quay Signs; ``shared/fonts/README.md`` says where both come from.
"""

import base64
from functools import cache

from harmonykit.draw.base.style import REGULAR, SEMIBOLD
from harmonykit.paths import shared_dir

TEXT, SIGNS = "Harmonykit Sans", "Quay Signs"
COLOPHON = (
    f"{TEXT}, cut from Source Sans 3 (2023 Adobe), and {SIGNS}, made from Noto Music"
    " (2018 Google Inc.): both under the SIL Open Font License 1.1, which each file names."
)
_FACES = (
    (TEXT, REGULAR, "normal", "harmonykit-sans/HarmonykitSans-Regular.woff2"),
    (TEXT, REGULAR, "italic", "harmonykit-sans/HarmonykitSans-Italic.woff2"),
    (TEXT, SEMIBOLD, "normal", "harmonykit-sans/HarmonykitSans-SemiBold.woff2"),
    (SIGNS, REGULAR, "normal", "quay-signs/QuaySigns-Regular.woff2"),
    (SIGNS, SEMIBOLD, "normal", "quay-signs/QuaySigns-SemiBold.woff2"),
)


@cache
def font_faces(*, italic: bool = False) -> str:
    """Return our fonts as CSS rules, with a comment that names them and their licence.

    Parameters
    ----------
    italic : bool
        Whether the italic is among them.

    Examples
    --------
    >>> font_faces().count("@font-face"), font_faces(italic=True).count("@font-face")
    (4, 5)
    """
    rules = [_rule(*face) for face in _FACES if italic or face[2] == "normal"]
    return f"/* Fonts: {COLOPHON} */\n{''.join(rules)}"


def _rule(family: str, weight: int, style: str, file: str) -> str:
    data = (shared_dir() / "fonts" / file).read_bytes()
    return face_rule(family, weight, data, "woff2", style)


def face_rule(family: str, weight: int, data: bytes, kind: str, style: str = "normal") -> str:
    """Return one rule of CSS with a font within it; ``kind`` is ``"woff2"`` or ``"truetype"``."""
    mime = "woff2" if kind == "woff2" else "ttf"
    return (
        f'@font-face{{font-family:"{family}";font-weight:{weight};font-style:{style};'
        f"src:url(data:font/{mime};base64,{base64.b64encode(data).decode('ascii')})"
        f' format("{kind}")}}\n'
    )
