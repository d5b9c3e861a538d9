"""A file written where the user may have one of that name: theirs is kept beside it."""

import os
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.carry import Carried, yours
from harmonykit.files.lock import locked
from harmonykit.files.manifest import file_hash
from harmonykit.files.said import refused
from harmonykit.files.store import WAIT
from harmonykit.files.whole import check_file, write_whole


def write_beside(
    path: Path, data: bytes | str, ours: str = "", error: type[HarmonyError] = HarmonyError
) -> Carried | None:
    """Write a file whole; what stood there and holds something else is kept under another name.

    Parameters
    ----------
    path : Path
    data : bytes or str
    ours : str
        The SHA-256 of what was written there before: that is replaced.

    Returns
    -------
    Carried or None
        What was kept, and as what.

    Raises
    ------
    HarmonyError
        If it cannot be written; what stood there is then as it was.
    """
    data = data.encode() if isinstance(data, str) else data
    check_file(path, error)
    with locked(path, WAIT):
        kept = keep_aside(path, ours) if path.is_file() and path.read_bytes() != data else None
        try:
            write_whole(path, data, error)
        except HarmonyError:
            if kept is not None and not path.exists():
                path.with_name(kept.name).rename(path)
            raise
    return kept


def keep_aside(path: Path, ours: str = "") -> Carried | None:
    """Give a file another name, unless it holds what we wrote."""
    try:
        if ours and file_hash(path) == ours:
            return None
        aside = next(name for name in yours(path) if not os.path.lexists(name))
        path.rename(aside)
    except OSError as trouble:
        raise refused(path, trouble) from None
    return Carried(path.name, aside.name, edited=True)
