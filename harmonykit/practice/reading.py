"""Which notebooks a reader has read: ticked by the reader, and kept in a file beside the notebooks.

The file is ``my-reading.json``; nothing is asked that no ticked notebook has taught (``day``).
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files import read_text, write_whole
from harmonykit.practice.day import NOTEBOOKS

READ_FILE = "my-reading.json"
FIRST = NOTEBOOKS[0]
"""The notebook from which questions come while none is ticked."""
FORMAT = 1
_HEAD = {"format": FORMAT, "made_by": "harmonykit", "kind": "reading"}
_MOST_BYTES = 100_000


def read_so_far(folder: str | Path) -> tuple[str, ...] | None:
    """Return the notebooks that were ticked, by their numbers; None where nothing is kept yet.

    Parameters
    ----------
    folder : str or Path
        Where the file is.

    Returns
    -------
    tuple of str or None

    Raises
    ------
    HarmonyError
        If the file cannot be read, or is of something else.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> folder = mkdtemp()
    >>> keep_read(folder, ["02", "00"])
    >>> read_so_far(folder)
    ('00', '02')
    """
    path = Path(folder) / READ_FILE
    if not path.exists():
        return None
    try:
        values: Any = json.loads(read_text(path, _MOST_BYTES))
    except (ValueError, RecursionError):
        values = None
    found = values if isinstance(values, dict) else {}
    numbers = found.get("read")
    if not isinstance(numbers, list) or any(found.get(name) != _HEAD[name] for name in _HEAD):
        raise HarmonyError(
            f"{path.name} does not say which notebooks were read",
            mend="move it away, and tick them again",
        )
    return _known(numbers)


def keep_read(folder: str | Path, numbers: Iterable[str]) -> None:
    """Keep which notebooks were read.

    Parameters
    ----------
    folder : str or Path
        Where the file is made.
    numbers : iterable of str
        Their numbers: ``["00", "02"]``.

    Raises
    ------
    HarmonyError
        If the file cannot be written.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> folder = mkdtemp()
    >>> keep_read(folder, [])
    >>> read_so_far(folder)
    ()
    """
    values = {**_HEAD, "read": list(_known(numbers))}
    write_whole(Path(folder) / READ_FILE, (json.dumps(values) + "\n").encode())


def _known(numbers: Iterable[object]) -> tuple[str, ...]:
    """Return those that teach something, in their order; others may be of a later version."""
    given = {str(each).partition("_")[0] for each in numbers}
    return tuple(number for number in NOTEBOOKS if number in given)
