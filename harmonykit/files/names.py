"""Names of files, made from what people call things."""

import os
import re
import unicodedata
from pathlib import Path


def slug(text: str) -> str:
    """Return a text as a part of a file's name: lower-case ASCII letters, figures and hyphens.

    Examples
    --------
    >>> slug("Up the neck, très haut!"), slug("C#dim7")
    ('up-the-neck-tres-haut', 'csharpdim7')
    """
    spelled = text.replace("#", "sharp").replace("♯", "sharp").replace("♭", "b")
    plain = unicodedata.normalize("NFKD", spelled).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:40].strip("-") or "level"


def from_folder(folder: Path, file: Path) -> str:
    """Return how a file in a folder names another one: so that both may be moved together.

    Where no way leads from one to the other, as between two drives, it is named in full.

    Examples
    --------
    >>> from_folder(Path("lessons"), Path("tunes/reel.toml"))
    '../tunes/reel.toml'
    """
    there = file.resolve()
    try:
        return Path(os.path.relpath(there, folder.resolve())).as_posix()
    except ValueError:
        return str(there)
