"""What a user types in a notebook, kept in a small file as they go, and found again afterwards.

A kernel that dies takes its memory with it; what was typed is then still in the file.  The file
is JSON, stands beside the notebook, and is made when there is something to keep::

    {"format": 1, "made_by": "harmonykit", "kind": "reharmonise", "typed": {"tune": "..."}}

A file that cannot be read (of a later format, or broken) is moved aside, never written over.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from itertools import count
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files import read_text, write_whole

FORMAT = 1
MADE_BY = "harmonykit"
MOST_BYTES = 4_000_000


class Keep:
    """A file with what was typed, by the names of the places where it was typed.

    Parameters
    ----------
    path : str or Path
        Made when something is first put in.
    kind : str
        What kind of page it is for; a file of another kind is not taken.

    Attributes
    ----------
    trouble : str
        What was wrong with the file that was found, and where it now is; or nothing.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "kept.json"
    >>> Keep(path, "trial").put(tune="| C6 |", bars="4")
    >>> Keep(path, "trial")["tune"]
    '| C6 |'
    """

    def __init__(self, path: str | Path, kind: str) -> None:
        self.path, self.kind, self.trouble = Path(path), kind, ""
        self._typed: dict[str, str] = {}
        if self.path.exists():
            self._find()

    def __getitem__(self, name: str) -> str:
        return self._typed[name]

    def __contains__(self, name: object) -> bool:
        return name in self._typed

    def __iter__(self) -> Iterator[str]:
        return iter(self._typed)

    def get(self, name: str, otherwise: str = "") -> str:
        """Return what was typed at a place, or something else where nothing was."""
        return self._typed.get(name, otherwise)

    def put(self, **typed: str) -> None:
        """Keep what was typed; the file is written whole, and only where something changed.

        Raises
        ------
        HarmonyError
            If the file cannot be written, or would be larger than 4 million bytes.
        """
        fresh = {**self._typed, **typed}
        if fresh == self._typed:
            return
        data = _written(self.kind, fresh)
        if len(data) > MOST_BYTES:
            raise HarmonyError(f"{self.path.name} would be too large to be read again")
        write_whole(self.path, data)
        self._typed = fresh

    def clear(self) -> None:
        """Forget all, and remove the file."""
        self._typed = {}
        self.path.unlink(missing_ok=True)

    def _find(self) -> None:
        try:
            self._typed = _read(self.path, self.kind)
        except HarmonyError as error:
            aside = _free_name(self.path)
            self.path.rename(aside)
            self.trouble = f"{error.what}; it is kept as {aside.name}"


def _written(kind: str, typed: Mapping[str, str]) -> bytes:
    values = {"format": FORMAT, "made_by": MADE_BY, "kind": kind, "typed": dict(typed)}
    return (json.dumps(values, ensure_ascii=False, indent=1) + "\n").encode()


def _read(path: Path, kind: str) -> dict[str, str]:
    try:
        values: Any = json.loads(read_text(path, MOST_BYTES))
    except (ValueError, RecursionError):
        raise HarmonyError(f"{path.name} cannot be read: it is no JSON") from None
    head = {"format": FORMAT, "made_by": MADE_BY, "kind": kind}
    if not isinstance(values, dict) or any(values.get(key) != head[key] for key in head):
        raise HarmonyError(f"{path.name} is not a file of this page (kind {kind}, format {FORMAT})")
    typed = values.get("typed")
    if not isinstance(typed, dict) or not all(isinstance(each, str) for each in typed.values()):
        raise HarmonyError(f"{path.name} holds no typed text")
    return typed


def _free_name(path: Path) -> Path:
    """Return a name beside a file that nothing has yet."""
    names = (path.with_name(f"{path.stem}.unread-{n}{path.suffix}") for n in count(1))
    return next(name for name in names if not name.exists())
