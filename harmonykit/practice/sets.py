"""Sets of exercises: questions in a row, handed out as a notebook.

A set holds what its questions follow from, and no answers.  As text it is JSON::

    {"format": 1, "made_by": "harmonykit", "kind": "exercise set", "title": "...",
     "theme": {...}, "questions": [["quay", 1, "parents", "words", 1], ...]}

The notebook has that text in its one code cell.  Who opens it writes a name, answers in the panel,
and hands back the results file that stands beside it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.files import write_whole
from harmonykit.practice.kinds import KINDS, ask
from harmonykit.practice.question import Question, Spec
from harmonykit.practice.theme import Theme
from harmonykit.values import asdict, dataclass, fields

FORMAT = 1
MOST_QUESTIONS = 200
LONGEST_TEXT = 100_000
_HEAD = {"format": FORMAT, "made_by": "harmonykit", "kind": "exercise set"}
_LONGEST_SLUG = 40


@dataclass(frozen=True, slots=True)
class ExerciseSet:
    """Questions to be answered in a row.

    Parameters
    ----------
    title : str
    theme : Theme
    specs : tuple of Spec
        What each question follows from.

    Examples
    --------
    >>> short = hk.practice.make_set(["scale"], 2, title="Two scales")
    >>> print(short.question(1).text)
    Complete C major sixth-diminished: C D E F G A♭ A ?. Press the note that is missing.
    >>> hk.practice.ExerciseSet.from_text(short.as_text()) == short
    True
    """

    title: str
    theme: Theme
    specs: tuple[Spec, ...]

    @property
    def slug(self) -> str:
        """The title as a part of file names."""
        return slug_of(self.title) or "exercises"

    @property
    def mark(self) -> str:
        """A name by which files of results know their set."""
        return f"{self.slug}-{sha256(self.as_text().encode()).hexdigest()[:8]}"

    def question(self, number: int) -> Question:
        """Return a question; they count from 1.

        Parameters
        ----------
        number : int
            From 1.

        Returns
        -------
        Question

        Examples
        --------
        >>> print(hk.practice.make_set(["parents"], 3, title="Three").question(2).text)
        You hear E°7, then one of its four dominants. Which one?
        """
        return ask(self.specs[number - 1], self.theme)

    def as_text(self) -> str:
        """Return the set as JSON, a line a question.

        Returns
        -------
        str
        """
        rows = [
            json.dumps([s.seed, s.number, s.kind, s.medium, s.level], ensure_ascii=False)
            for s in self.specs
        ]
        head = json.dumps({**_HEAD, "title": self.title}, ensure_ascii=False)[:-1]
        lines = [
            f'"{key}": {json.dumps(value, ensure_ascii=False)}' for key, value in self._theme()
        ]
        theme, questions = ",\n  ".join(lines), ",\n  ".join(rows)
        return f'{head},\n "theme": {{{theme}}},\n "questions": [\n  {questions}]}}'

    def _theme(self) -> list[tuple[str, Any]]:
        return [(name, value) for name, value in asdict(self.theme).items() if value]

    @classmethod
    def from_text(cls, text: str) -> ExerciseSet:
        """Return the set that a text describes.

        Parameters
        ----------
        text : str

        Returns
        -------
        ExerciseSet

        Raises
        ------
        HarmonyError
            If it is no set, or one of a later format.

        Examples
        --------
        >>> text = hk.practice.make_set(["parents"], 3, title="Three").as_text()
        >>> hk.practice.ExerciseSet.from_text(text).title
        'Three'
        """
        try:
            values = json.loads(text[:LONGEST_TEXT])
            if values.get("format") != FORMAT and values.get("kind") == _HEAD["kind"]:
                raise HarmonyError(
                    f"the set is in format {values.get('format')!r}",
                    rule=f"this version reads format {FORMAT}",
                )
            specs = tuple(_spec(row) for row in values["questions"])
            found = cls(str(values["title"]), _read_theme(values["theme"]), specs)
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise HarmonyError(
                "this is not a set of exercises",
                rule="a set is handed out as a whole notebook",
                mend="the notebook as the teacher made it",
            ) from None
        counted = [spec.number for spec in specs] == list(range(1, len(specs) + 1))
        if any(values.get(key) != _HEAD[key] for key in _HEAD) or not specs or not counted:
            raise HarmonyError("this is not a set of exercises")
        return found

    def write(self, path: str | Path) -> Path:
        """Write the set as a notebook to be handed out; answers are not in it.

        Parameters
        ----------
        path : str or Path
            Where the file is.

        Returns
        -------
        Path

        Raises
        ------
        HarmonyError
            If it cannot be written.

        Examples
        --------
        >>> from tempfile import mkdtemp
        >>> short = hk.practice.make_set(["parents"], 3, title="Three")
        >>> short.write(mkdtemp() + "/three.ipynb").name
        'three.ipynb'
        """
        import nbformat

        target = Path(path)
        cells = [
            nbformat.v4.new_markdown_cell(_instructions(self)),
            nbformat.v4.new_code_cell(
                f'import harmonykit as hk\n\nhk.workbook.SetPanel(r"""{self.as_text()}""")'
            ),
        ]
        for number, cell in enumerate(cells):
            cell["id"] = f"cell-{number:02d}"
        notebook = nbformat.v4.new_notebook(cells=cells)
        notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3"}
        notebook.metadata["title"] = self.title
        nbformat.validate(notebook)
        write_whole(target, nbformat.writes(notebook) + "\n")
        return target


def _spec(row: Sequence[Any]) -> Spec:
    seed, number, kind, medium, level = row
    spec = Spec(str(seed), int(number), str(kind), str(medium), int(level))
    if spec.kind not in KINDS or spec.medium not in KINDS[spec.kind].media:
        raise ValueError(kind)
    return spec


def _read_theme(values: dict[str, Any]) -> Theme:
    if not set(values) <= {field.name for field in fields(Theme)}:
        raise ValueError("no theme")
    read: dict[str, Any] = {
        name: tuple(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in values.items()
    }
    return Theme(**read)


def slug_of(text: str) -> str:
    """Return a text as a part of a file's name.

    Examples
    --------
    >>> slug_of("The stiff dominant"), slug_of("Désk 3")
    ('the-stiff-dominant', 'désk-3')
    """
    return re.sub(r"[\W_]+", "-", text.lower()).strip("-")[:_LONGEST_SLUG]


def _instructions(made: ExerciseSet) -> str:
    return (
        f"# {made.title}\n\n"
        f"A set of {len(made.specs)} exercises. Run the cell below (Shift and Enter), write your "
        "name in the panel, and answer: write in the line, or press notes and frets; *Check* says "
        "whether it is right and why. *Hint* helps step by step; hints are counted. The first "
        "answer that can be read counts; you can try again as often as you like.\n\n"
        f"Your results are kept in a file beside this notebook: `{made.slug}-results-`, then your "
        "name. Hand in that file. You can close the notebook at any time and continue later."
    )
