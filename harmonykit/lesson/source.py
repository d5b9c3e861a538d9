"""A lesson file: TOML front matter between lines of ``+++``, then Markdown.

The front matter, whole::

    +++
    format = 1
    title = "..."
    subtitle = "..."             # at choice, as are the next two
    group = "..."                # the class it is for
    sheet = "4"                  # its number in the course
    tune = "net_loft_shuffle"    # a shipped tune's name, or a path beside this file
    number = 80                  # at choice: which tune of a file that holds many
    instrument = "ukulele"       # a name, or strings such as "G4 C4 E4 A4"
    also = ["guitar"]            # at choice: a mixed class gets a sheet for each of these too
    chord = "Adim7"              # the chord that the lesson starts from, ...
    shape = "2323"               # ... and its shape; found where left out
    scale = "C major"            # a sixth-diminished scale, ...
    from = "0000"                # ... and the shape that is carried up it; found where left out
    outputs = ["script", "page", "handout", "scores", "sound"]   # all, where left out
    variants = ["large print", "left-handed", "one ink"]         # more handouts, at choice
    paper = "a4"                 # or "letter"
    rights = "..."

    [sound]                      # at choice: what is played along with; see ``takes``
    files = ["mid", "wav", "mp3", "slow mp3", "loops", "tuning"]
    slow = 0.7

    [[levels]]
    name = "..."
    moves = ["approach"]
    prefer = "approach"          # at choice: the move to be used wherever it fits
    hand = 1                     # 1 to 3: top fret, stretch, barre, least time of a chord
    max_fret = 5                 # at choice, for the hand's own, as is the next
    least_seconds = 2.0          # how long a chord must last
    tempo = 72
    watch = "..."                # at choice
    +++

In the Markdown, ``## `` begins a section, and ``{{ name(...) }}`` is a call (see ``calls``).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from harmonykit.errors import Place
from harmonykit.files import read_text
from harmonykit.lesson.front import read_front
from harmonykit.lesson.model import Front, LessonError
from harmonykit.tune.toml_places import TomlPlaces

FENCE = "+++"
MOST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Body:
    """The Markdown of a lesson file and the line of the file on which it begins."""

    name: str
    lines: tuple[str, ...]
    first_line: int

    def place(self, line: int, column: int) -> Place:
        """Return the place of a character; line and column count from 0 within the body."""
        return Place(self.name, self.first_line + line, column + 1, self.lines[line])


def read_lesson(
    path: Path,
    tune_path: Path | None = None,
    number: int | None = None,
    instrument: str | None = None,
) -> tuple[Front, Body]:
    """Read a lesson file.

    Parameters
    ----------
    path : Path
    tune_path : Path, optional
        A tune to be used instead of the lesson's own.
    number : int, optional
        Which tune of a file that holds many.
    instrument : str, optional
        Another instrument of the class: its shapes are found, not read.

    Raises
    ------
    HarmonyError
        With file, line, column and a caret.
    """
    lines = read_text(path, MOST_BYTES, LessonError).splitlines()
    front, body = _split(path.name, lines)
    places = TomlPlaces.of(path.name, "\n" * (front[0] - 1) + "\n".join(front[1]))
    return read_front(path, places, tune_path, number, instrument), body


def _split(name: str, lines: list[str]) -> tuple[tuple[int, list[str]], Body]:
    fences = [index for index, line in enumerate(lines) if line.strip() == FENCE]
    if len(fences) < 2 or any(line.strip() for line in lines[: fences[0]]):
        raise LessonError(
            f"{name} has no front matter",
            place=Place(name, 1, 1, lines[0] if lines else ""),
            rule=f"it stands between two lines of {FENCE} at the start of the file",
        )
    start, end = fences[0], fences[1]
    return (start + 2, lines[start + 1 : end]), Body(name, tuple(lines[end + 1 :]), end + 2)
