"""What a teacher sets and types on the page where a lesson is written, as a value.

All of it is text, so that it is kept in a small file as it stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields

from harmonykit.files.names import slug

ENDING = ".md"


@dataclass(frozen=True, slots=True)
class WritingState:
    """What is set and typed.

    Parameters
    ----------
    text : str
        The lesson.
    file : str
        The name of the lesson's file, from the notebook's folder.
    disk : str
        The fingerprint of what that file held when it was last read or written; empty before.
    before : str
        The text that the last draft, or file that was opened, took the place of.
    tune, number, instrument, idea : str
        Of what the next draft is made.
    folder : str
        What the lesson is built into; empty for a folder of the file's name.
    shows : {"page", "script", "sheet"}
    built : str
        The fingerprint of the text that was last built.
    """

    text: str = ""
    file: str = ""
    disk: str = ""
    before: str = ""
    tune: str = ""
    number: str = ""
    instrument: str = "ukulele"
    idea: str = ""
    folder: str = ""
    shows: str = "page"
    built: str = ""

    @property
    def out(self) -> str:
        """The name of the folder that the lesson is built into."""
        return self.folder or self.file.removesuffix(ENDING) or "lesson"

    @property
    def wants_sheet(self) -> bool:
        """Whether the pages of the handout are to be seen."""
        return self.shows == "sheet"

    def as_typed(self) -> dict[str, str]:
        """Return it by names, as it is kept."""
        return asdict(self)

    @classmethod
    def of(cls, typed: Mapping[str, str]) -> WritingState:
        """Return what was kept; what is not known here is left out.

        Examples
        --------
        >>> WritingState.of({"text": "## A", "colour": "red"}).text
        '## A'
        """
        return cls(**{f.name: typed[f.name] for f in fields(cls) if f.name in typed})


def file_name(title: str) -> str:
    """Return the name of a lesson's file.

    Examples
    --------
    >>> file_name("What Heron Landing offers")
    'what-heron-landing-offers.md'
    """
    return slug(title) + ENDING
