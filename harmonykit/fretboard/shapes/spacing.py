"""Close and dropped layouts of sounding pitches.

Conventions.  Voices are counted from the highest *pitch* down.  A *close* chord has all its notes
within an octave, each once.  *Drop 2* is a close chord of four notes whose second voice from the
top sounds an octave lower, and so on; a triad whose middle voice is dropped so is *open*.

References
----------
Drop 2: Berklee, Arranging 3, lesson 2, topic 3.
"""

from collections.abc import Iterable

from harmonykit.errors import need_one_of

# The voices that sound an octave lower, by how many notes there are.
_DROPPED = {
    3: {"close": (), "open": (2,)},
    4: {"close": (), "drop 2": (2,), "drop 3": (3,), "drop 2 and 4": (2, 4)},
}
LAYOUTS = tuple(dict.fromkeys(name for names in _DROPPED.values() for name in names))
"""The names of layouts: close, open, drop 2, drop 3, drop 2 and 4."""


def layout_of(pitches: Iterable[int]) -> str:
    """Return the name of a layout; empty where a note sounds twice or it has none.

    Parameters
    ----------
    pitches : iterable of int
        MIDI numbers, in any order.

    Examples
    --------
    >>> layout_of((60, 64, 67, 71)), layout_of((55, 60, 64, 71)), layout_of((60, 67, 76))
    ('close', 'drop 2', 'open')
    >>> layout_of((48, 64, 71, 79)), layout_of((60, 64, 67, 72))
    ('', '')
    """
    sounding = sorted(pitches)
    if len({pitch % 12 for pitch in sounding}) < len(sounding):
        return ""
    for name, dropped in _DROPPED.get(len(sounding), {}).items():
        if _voices_dropped(sounding, len(dropped)) == dropped:
            return name
    return ""


def _voices_dropped(sounding: list[int], count: int) -> tuple[int, ...] | None:
    """Return which voices of a close chord sound an octave lower, if so many of them do."""
    raised = [pitch + 12 for pitch in sounding[:count]]
    close = sorted([*raised, *sounding[count:]], reverse=True)
    if close[0] - close[-1] >= 12:
        return None
    return tuple(sorted(close.index(pitch) + 1 for pitch in raised))


def check_layout(name: str) -> None:
    """Refuse a layout that has no such name.

    Raises
    ------
    HarmonyError
        With the names that there are.
    """
    need_one_of(name, "layout", LAYOUTS)
