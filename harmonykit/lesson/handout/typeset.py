"""Pages from data: a template of ours, set by typst with our fonts and no others.

What is printed goes to the template as data, never as markup, so that no text of a lesson can be
read as a command.  The same data gives the same bytes.
"""

from typing import Any

from harmonykit.lesson.handout.typeset_pages import PDF, PdfStandard, set_apart

__all__ = ["PdfStandard", "set_pdf"]


def set_pdf(name: str, data: dict[str, Any], *, standard: PdfStandard | None = None) -> bytes:
    """Return the PDF of a template's data.

    Parameters
    ----------
    name : str
        Of the template ``NAME.typ`` in ``shared/templates``; the data reaches it under this name.
    data : dict
        Whatever JSON can hold.
    standard : {"ua-1"}, optional
        Asks for proof that the standard is kept.

    Raises
    ------
    HarmonyError
        If the pages could not be set.
    """
    return set_apart(name, data, PDF, standard=standard)
