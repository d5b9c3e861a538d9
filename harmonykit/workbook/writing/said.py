"""What is said round the text of a lesson: how it stands, what goes on, what failed."""

from typing import Any

from harmonykit.workbook.writing.beside import Going
from harmonykit.workbook.writing.file import fingerprint
from harmonykit.workbook.writing.reader import Look
from harmonykit.workbook.writing.sides import facts_of, preview_note, summary
from harmonykit.workbook.writing.state import WritingState


def said(
    state: WritingState, look: Look, saved_as: str, going: Going, trouble: str
) -> dict[str, Any]:
    """Return what is said, by the places where the browser shows it.

    Parameters
    ----------
    state : WritingState
    look : Look
        What is seen in the text.
    saved_as : str
        How the text stands to its file.
    going : Going
        What goes on beside the page.
    trouble : str
        What was wrong with the last thing asked.
    """
    return {
        "facts": facts_of(look, saved_as),
        "summary": summary(look),
        "note": preview_note(look),
        "saved": saved_as,
        "trouble": trouble,
        "busy": going.busy,
        "progress": list(going.progress),
        "stopped": going.stopped,
        "built": built_from(state),
    }


def built_from(state: WritingState) -> str:
    """Return from which text the folder was built.

    Examples
    --------
    >>> built_from(WritingState(text="a", file="a.md", built=fingerprint("a")))
    'From the text as typed, in the folder a.'
    """
    same = state.built == fingerprint(state.text)
    return f"From {'the text as typed' if same else 'an earlier text'}, in the folder {state.out}."
