"""How often a short row of chords or an idiom was heard, in any key, and in how many tunes."""

from collections.abc import Sequence
from itertools import pairwise

from harmonykit.evidence.keys import Heard
from harmonykit.evidence.kinds import JAZZ, PLAIN, read_table
from harmonykit.values import dataclass, field

SHORTEST, LONGEST = 2, 4
FEWEST = 3
_TABLES = {JAZZ: "heard", PLAIN: "heard_plain"}
WHAT = {JAZZ: "jazz tunes", PLAIN: "popular songs"}


@dataclass(frozen=True, slots=True)
class Often:
    """How often a row of chords was heard.

    Parameters
    ----------
    times, tunes : int
        0 where it was heard in fewer than three tunes.
    of : int
        How many tunes were counted.
    style : {"jazz", "plain"}
        Which tunes: jazz, or popular songs in triads.
    counted_as : str
        The chords that were counted, where they differ from those asked for: ``"C7 Fmaj7"``.
    uncounted : str
        Why nothing was counted, if nothing was: a bass that is not a tone of its chord.

    Examples
    --------
    >>> often = hk.how_often("Dm7 G7 Cmaj7")
    >>> often.times > often.tunes, often.of, often.style
    (True, 606, 'jazz')
    """

    times: int
    tunes: int
    of: int
    style: str
    counted_as: str = field(default="", compare=False)
    uncounted: str = ""

    def __str__(self) -> str:
        if self.uncounted:
            return f"not counted: {self.uncounted}"
        what = f"{self.of} {WHAT[self.style]}"
        if not self.tunes:
            said = f"heard in fewer than {FEWEST} of {what}"
        else:
            said = f"heard {self.times:,} times, in {self.tunes} of {what}"
        return f"{said}, counted as {self.counted_as}" if self.counted_as else said


def chain_name(row: Sequence[Heard]) -> str:
    """Return what a row is called in the table: kinds, and the steps of roots between them.

    Examples
    --------
    >>> chain_name([Heard(0, True, 2, "m7"), Heard(0, False, 7, "7")])
    'm7 5 7'
    """
    words = [row[0].kind]
    for one, two in pairwise(row):
        words += [str((two.root - one.root) % 12), two.kind]
    return " ".join(words)


def heard(row: Sequence[Heard], style: str) -> Often:
    """Return how often a row of two to four chords was heard."""
    table = read_table(_TABLES[style])
    times, tunes = table["chains"].get(chain_name(row), (0, 0))
    return Often(times, tunes, table["tunes"], style)


def heard_next(kind: str, style: str) -> list[tuple[int, str, Often]]:
    """Return what follows a kind of chord: step of the root, kind, how often; most tunes first."""
    table = read_table(_TABLES[style])
    found = []
    for name, (times, tunes) in table["chains"].items():
        words = name.split(" ")
        if len(words) == 3 and words[0] == kind:
            often = Often(times, tunes, table["tunes"], style)
            found.append((int(words[1]), words[2], often))
    return sorted(found, key=lambda each: (-each[2].tunes, -each[2].times, each[0], each[1]))


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
