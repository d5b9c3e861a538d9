"""A recording that is given in the browser: it comes in pieces, and is put together in a file."""

from __future__ import annotations

from abc import abstractmethod
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.control import Control
from harmonykit.workbook.base.live import Answers, Said
from harmonykit.workbook.base.panel import Panel

S = TypeVar("S")

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


class HearingFiles(Panel[S]):
    """A panel that is given recordings."""

    _pieces: Pieces | None = None

    @abstractmethod
    def hear_file(self, path: str | Path) -> None:
        """Hear a recording."""

    def _take(self, said: Said) -> None:
        """Take a recording that was given in the browser, piece by piece."""
        self._pieces = self._pieces or Pieces()
        if data := self._pieces.take(said):
            with TemporaryDirectory() as folder:
                path = Path(folder) / (Path(said.text("file")).name or "recording")
                path.write_bytes(data)
                self.hear_file(path)

    def _answers(self) -> Answers:
        return {**super()._answers(), "file": self._take}
