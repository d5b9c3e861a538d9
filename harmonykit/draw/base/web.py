"""What a page on the web brings along: its scripts joined into one text, and our fonts as CSS.

A script is a module under ``shared/scripts``, in the form that browsers know (ECMAScript modules).
It has what it needs from others by one line each at its top::

    import { element, say } from "../kit/element.js";

The joined text holds each module once, after those that it needs.  Modules share one scope there,
so no two of them may have the same name at their left edge.  Notes on types (``/** ... */``) are
for whoever reads the modules, and are left out.

Text is set in Harmonykit Sans, a cut of Source Sans 3 under a name of its own, and the accidentals
of chord symbols in Quay Signs; ``shared/fonts/README.md`` says where both come from.
"""

import base64
import re
from functools import cache
from pathlib import Path

from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD
from harmonykit.errors import HarmonyError
from harmonykit.paths import shared_dir

_IMPORT = re.compile(r'^import \{([^}]*)\} from "([^"]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|class|const|let)\b)", re.MULTILINE)
_NAME = re.compile(r"^(export )?(?:async )?(?:function|class|const|let) (\w+)", re.MULTILINE)
_NOTE = re.compile(r"^ */\*\*(?:(?!\*/).)*\*/\n", re.MULTILINE | re.DOTALL)


@cache
def script(name: str) -> str:
    """Return a module and all that it needs as one text.

    Parameters
    ----------
    name : str
        Its path under ``shared/scripts``, with slashes.

    Raises
    ------
    HarmonyError
        If a module needs what is missing, modules need one another in a circle, or two of them have
        one name.

    Examples
    --------
    >>> "export default { render };" in script("panel/panel.js")
    True
    """
    return join(shared_dir() / "scripts" / name)


def join(path: Path) -> str:
    """Return the module in a file and all that it needs as one text; errors as of `script`."""
    modules: dict[Path, str] = {}
    _add(path.resolve(), modules, ())
    owners: dict[str, Path] = {}
    for file, text in modules.items():
        for name in names(text):
            if owners.setdefault(name, file) != file:
                raise HarmonyError(f"{name} is defined in {owners[name].name} and in {file.name}")
    return "".join(
        _EXPORT.sub("", _NOTE.sub("", _IMPORT.sub("", each))) for each in modules.values()
    )


def names(text: str, *, exported: bool = False) -> tuple[str, ...]:
    """Return the names that a module has, or those alone that others may import.

    Examples
    --------
    >>> text = "export const A = 1;\\nfunction b() {}\\n"
    >>> names(text), names(text, exported=True)
    (('A', 'b'), ('A',))
    """
    return tuple(name for outward, name in _NAME.findall(text) if outward or not exported)


def _add(path: Path, modules: dict[Path, str], above: tuple[Path, ...]) -> None:
    """Add a module after those that it needs; ``above`` are the ones that wait for it."""
    if path in above:
        raise HarmonyError(f"{path.name} needs itself, by way of {above[-1].name}")
    if path in modules:
        return
    if not path.is_file():
        raise HarmonyError(f"the script {path.name} is missing")
    text = path.read_text(encoding="utf-8")
    for wanted, where in _IMPORT.findall(text):
        other = (path.parent / where).resolve()
        _add(other, modules, (*above, path))
        lacking = {each.strip() for each in wanted.split(",")} - {""}
        lacking -= set(names(modules[other], exported=True))
        if lacking:
            raise HarmonyError(f"{path.name} imports {min(lacking)}, which {other.name} lacks")
    modules[path] = text


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
