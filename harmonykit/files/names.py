"""Names of files, made from what people call things."""

from __future__ import annotations

import re
import unicodedata


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
