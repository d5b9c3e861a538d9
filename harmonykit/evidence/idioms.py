"""How often an idiom of arranging stands in tunes: times, and in how many tunes."""

from __future__ import annotations

from harmonykit.evidence.heard import Often
from harmonykit.evidence.kinds import JAZZ
from harmonykit.evidence.tables import read_table

_UNCOUNTED = "longer than four chords, or identified by its bass or its tensions"


def heard_idiom(name: str, style: str = JAZZ) -> Often:
    """Return how often an idiom was heard, by the row of chords by which it is found.

    Parameters
    ----------
    name : str
        As in ``arrange/idioms/idioms.toml``.
    style : {"jazz", "plain"}

    Returns
    -------
    Often
        ``uncounted`` says why, where the idiom was not counted.

    Examples
    --------
    >>> print(heard_idiom("backdoor"))
    heard 160 times, in 88 of 606 jazz tunes
    >>> print(heard_idiom("tonic pedal"))
    not counted: longer than four chords, or identified by its bass or its tensions
    """
    table = read_table("idioms")
    pair = table[style].get(name)
    times, tunes = pair or (0, 0)
    return Often(times, tunes, table["tunes"][style], style, "", "" if pair else _UNCOUNTED)
