"""The scripts of pages and panels: modules joined into the one text that a browser runs.

A script is a module under ``shared/scripts``, in the form that browsers know (ECMAScript modules).
It has what it needs from others by one line each at its top::

    import { element, say } from "../kit/element.js";

The joined text holds each module once, after those that it needs.  Modules share one scope there,
so no two of them may have the same name at their left edge.  Notes on types (``/** ... */``) are
for whoever reads the modules, and are left out.
"""

import re
from functools import cache
from pathlib import Path

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
