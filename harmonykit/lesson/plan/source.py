"""A lesson file: a TOML header between lines of ``+++``, then Markdown.

``harmonykit.lesson.plan.keys`` has every key of the header, and ``harmonykit lesson --calls``
prints them all, each with an example.

In the Markdown, ``## `` begins a section, and ``{{ name(...) }}`` is a call (see ``calls``).
``![my hand](hand.png "60 mm")`` puts in a picture that lies beside the file, as wide as that on
paper.
"""

from pathlib import Path

from harmonykit.draw.base.fonts import check_printable, index_of
from harmonykit.errors import Place
from harmonykit.files import read_text
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.lesson.plan import pictures
from harmonykit.lesson.plan.front import ReadTune, read_front
from harmonykit.lesson.plan.model import Front, LessonError
from harmonykit.score.files import read_tune
from harmonykit.values import dataclass

FENCE = "+++"
MOST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Head:
    """The header of a lesson file, as text, and the line of the file on which it begins."""

    path: Path
    text: str
    first_line: int

    def read(
        self,
        tune_path: Path | None = None,
        number: int | None = None,
        instrument: str | None = None,
        read_tune: ReadTune = read_tune,
    ) -> Front:
        """Read and check it; see ``read_lesson``.  ``read_tune`` is handed a path and a number."""
        return read_front(self.path, self.places(), tune_path, number, instrument, read_tune)

    def places(self) -> TomlPlaces:
        """Return where its keys and values stand in the file."""
        return TomlPlaces.of(self.path.name, "\n" * (self.first_line - 1) + self.text)


@dataclass(frozen=True, slots=True)
class Body:
    """The Markdown of a lesson file and the line of the file on which it begins."""

    name: str
    lines: tuple[str, ...]
    first_line: int

    def place(self, line: int, column: int) -> Place:
        """Return the place of a character; line and column count from 0 within the body."""
        return Place(self.name, self.first_line + line, column + 1, self.lines[line])

    def check_printable(self) -> None:
        """Refuse a text that no sheet can print.

        Raises
        ------
        HarmonyError
            With the sign and its place.
        """
        for number, line in enumerate(self.lines):
            check_printable(line, "the text", self.place(number, index_of(line)))


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
    head, body = split_lesson(path, read_text(path, MOST_BYTES, LessonError))
    front = head.read(tune_path, number, instrument)
    body.check_printable()
    return front, body


def level_place(path: Path, index: int) -> Place:
    """Return the place of a level's moves in a lesson's file; levels count from 0."""
    head, _ = split_lesson(path, read_text(path, MOST_BYTES, LessonError))
    return head.places().key(("levels", index, "moves"))


def split_lesson(path: Path, text: str) -> tuple[Head, Body]:
    """Part the text of a lesson file into header and Markdown, neither of them read yet.

    Parameters
    ----------
    path : Path
        Where the text stands, or would stand: its tune is looked for beside it.
    text : str

    Raises
    ------
    LessonError
        If there is no header.

    Examples
    --------
    >>> head, body = split_lesson(Path("new.md"), "+++\\nformat = 1\\n+++\\n## The idea\\n")
    >>> head.text, body.lines, body.first_line
    ('format = 1', ('## The idea',), 4)
    """
    name, lines = path.name, text.removesuffix("\n").split("\n")
    fences = [index for index, line in enumerate(lines) if line.strip() == FENCE]
    if len(fences) < 2 or any(line.strip() for line in lines[: fences[0]]):
        raise LessonError(
            f"{name} has no header",
            place=Place(name, 1, 1, lines[0] if lines else ""),
            rule=f"it goes between two lines of {FENCE} at the start of the file",
        )
    start, end = fences[0], fences[1]
    head = Head(path, "\n".join(lines[start + 1 : end]), start + 2)
    body = tuple(map(pictures.with_whole_names, lines[end + 1 :]))
    return head, Body(name, body, end + 2)
