"""A recording that is given in the browser: it comes in pieces, and is put together in a file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.live import Said
from harmonykit.workbook.base.panel import Control

GIVE = Control(
    "recording", "file", "Give a recording",
    options=("audio/*", ".wav", ".mp3", ".m4a", ".ogg", ".flac", ".aiff", ".caf"),
)  # fmt: skip
"""The button that lets a recording be picked."""
_MOST_BYTES = 64_000_000


class Pieces:
    """The pieces of a recording that have come so far.

    Examples
    --------
    >>> pieces = Pieces()
    >>> for n, half in enumerate((b"one ", b"two")):
    ...     whole = pieces.take(Said({"file": "mine.wav", "piece": n, "last": 1}, (half,)))
    >>> whole
    b'one two'
    """

    def __init__(self) -> None:
        self._come: tuple[bytes, ...] = ()

    def take(self, said: Said) -> bytes:
        """Take a piece; return the whole once it is there, and nothing before.

        Raises
        ------
        HarmonyError
            If a piece is missing, or the whole is too large.
        """
        piece, last = (int(said.text(name) or 0) for name in ("piece", "last"))
        self._come = (*self._come[:piece], said.file)
        if len(self._come) != piece + 1 or sum(map(len, self._come)) > _MOST_BYTES:
            self._come = ()
            raise HarmonyError("the recording did not arrive whole", mend="give it once more")
        if piece < last:
            return b""
        whole, self._come = b"".join(self._come), ()
        return whole


@contextmanager
def as_file(name: str, data: bytes) -> Iterator[Path]:
    """Hold a recording as a file under its own name, for a while."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).name or "recording")
        path.write_bytes(data)
        yield path
