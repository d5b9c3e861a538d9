"""Which keys a survey tries, as they are typed."""

from harmonykit.errors import HarmonyError
from harmonykit.theory.note import Note

ALL = tuple(range(12))
"""The pitch classes of all tonics."""


def read_tonics(text: str) -> tuple[int, ...]:
    """Return the pitch classes of typed tonics, each once; none for ``"written"``.

    Parameters
    ----------
    text : str
        ``"all"``, ``"written"`` (each tune in its own key alone), or tonics with commas between.

    Raises
    ------
    HarmonyError
        If one of them is no note.

    Examples
    --------
    >>> read_tonics("C, G, Bb"), read_tonics("written")
    ((0, 7, 10), ())
    """
    word = text.strip().casefold()
    if word in ("all", "written"):
        return ALL if word == "all" else ()
    return tuple(dict.fromkeys(_tonic(name) for name in text.split(",")))


def _tonic(name: str) -> int:
    try:
        note = Note.parse(name.strip())
    except HarmonyError as error:
        raise HarmonyError(
            f"{name.strip()!r} is not a tonic",
            rule='"all", "written", or tonics with commas between; the mode is the tune\'s own',
            mend="C,G,D,F",
        ) from error
    return note.pitch_class
