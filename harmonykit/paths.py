"""Where the files that ship with the library are.

In a checkout ``data/``, ``shared/`` and ``notebooks/`` stand beside the package; a wheel carries
copies of them inside it.  The checkout's come first.
"""

import difflib
from pathlib import Path

from harmonykit.errors import HarmonyError, missing_file, need_one_of, need_path

_PACKAGE = Path(__file__).resolve().parent

_KINDS = {"tunes": "tune", "lessons": "lesson", "ideas": "idea", "classes": "class"}


def data_dir() -> Path:
    """Return the folder of tunes, lessons and instruments that ship as examples.

    Examples
    --------
    >>> sorted(p.name for p in data_dir().iterdir() if p.name in ("lessons", "tunes"))
    ['lessons', 'tunes']
    """
    return _folder("data")


def shared_dir() -> Path:
    """Return the folder of fonts, styles and templates.

    Examples
    --------
    >>> (shared_dir() / "fonts" / "quay-signs" / "QuaySigns-Regular.ttf").is_file()
    True
    """
    return _folder("shared")


def notebooks_dir() -> Path:
    """Return the folder of the workbook's notebooks, as shipped."""
    return _folder("notebooks")


def _folder(name: str) -> Path:
    beside = _PACKAGE.parent / name
    # Other packages may leave a folder of this name in site-packages: a checkout has a pyproject.
    if (_PACKAGE.parent / "pyproject.toml").is_file() and beside.is_dir():
        return beside
    inside = _PACKAGE / f"_{name}"
    if inside.is_dir():
        return inside
    raise HarmonyError(
        f"the folder {name!r} of harmonykit is missing",
        rule="it is beside the package in a checkout, or inside the installed package",
        mend="install harmonykit again",
    )


def shipped(kind: str) -> tuple[str, ...]:
    """Return the bare names of the examples of one kind, such as ``"tunes"``, sorted.

    Parameters
    ----------
    kind : {"tunes", "lessons", "ideas", "classes"}

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> hk.shipped("lessons")[:2]
    ('four_dominants', 'one_voice_moves')
    >>> "heron_landing" in hk.shipped("tunes")
    True
    """
    folder = data_dir() / need_one_of(kind, "kind", _KINDS)
    return tuple(sorted(p.stem for p in folder.glob("*.*") if p.is_file()))


def find_data(kind: str, name: str | Path) -> Path:
    """Return the path of a file or shipped example.

    Parameters
    ----------
    kind : str
        ``"tunes"``, ``"lessons"``, ``"ideas"`` or ``"classes"``.
    name : str or Path
        A path to a file; or, without folder, the name of a shipped example, with or without its
        suffix.  A file that exists in the working folder comes first.

    Returns
    -------
    Path

    Raises
    ------
    HarmonyError
        When there is no such file; the message names what there is.

    Examples
    --------
    >>> hk.find_data("tunes", "heron_landing").name
    'heron_landing.toml'
    """
    need_one_of(kind, "kind", _KINDS)
    path = need_path(name, "a file, or the bare name of an example")
    if path.is_file():
        return path
    # A bare name is a shipped example's, even where a folder of that name stands in the way.
    if len(path.parts) == 1:
        for example in sorted((data_dir() / kind).glob("*.*")):
            if path.name in (example.name, example.stem):
                return example
    raise _missing(kind, path)


def _missing(kind: str, path: Path) -> HarmonyError:
    names = shipped(kind)
    rule = f"give a path, or the name of an included {_KINDS[kind]}: {', '.join(names)}"
    near = "".join(difflib.get_close_matches(path.stem, names, n=1))
    if path == Path():
        return HarmonyError(f"the name of the {_KINDS[kind]} is missing", rule=rule)
    if path.is_dir():
        return HarmonyError(f"{str(path)!r} is a folder, not a file", rule=rule, mend=near)
    return missing_file(path, rule=rule, near=near)
