"""The reharmonisation moves: each a rule with its preconditions and its reason.

The rules are common practice, no source unless one is named: see the docstring of each move.  A
move is one class with a ``name`` and a method ``offer(slot, setting)``; put an instance into
``MOVES`` and it can be asked for by name.
"""

import difflib

from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.moves.common_tone import CommonTone
from harmonykit.arrange.moves.dominants import (
    Backdoor,
    FourDominants,
    RootlessDominant,
    TritoneSubstitution,
)
from harmonykit.arrange.moves.fourths import StackedFourths
from harmonykit.arrange.moves.leading_tone import Descending, LeadingTone, Passing
from harmonykit.arrange.moves.ornaments import Late, PedalPoint, Push, Slide, Suspension
from harmonykit.arrange.moves.rule import (
    MoveRule,
    Offered,
    Part,
    Refused,
    Setting,
    Variant,
    Web,
    as_written,
)
from harmonykit.arrange.moves.two_names import RootlessNinth, Synonym
from harmonykit.arrange.moves.walk import DESCENDING, Walk
from harmonykit.errors import HarmonyError, need_text
from harmonykit.words.former import FORMER, current, plain

__all__ = [
    "MOVES",
    "USUAL",
    "MoveRule",
    "Offered",
    "Part",
    "Refused",
    "Setting",
    "Variant",
    "Web",
    "as_written",
    "move_named",
]

_RULES: tuple[MoveRule, ...] = (
    LeadingTone(),
    Passing(),
    RootlessDominant(),
    Walk(),
    Walk(DESCENDING),
    Descending(),
    CommonTone(),
    PedalPoint(),
    TritoneSubstitution(),
    FourDominants(),
    Backdoor(),
    RootlessNinth(),
    Suspension(),
    Suspension("appoggiatura", prepared=False),
    Synonym(),
    Slide(),
)

MOVES: dict[str, MoveRule] = {rule.name: rule for rule in _RULES}
"""Every move by name; where two add the same chord, the earlier one's reason is given."""

IN_TIME: dict[str, MoveRule] = {rule.name: rule for rule in (Push(), Late())}
"""Moves that add no chord: the tune's own come earlier or later.  They are asked for by name."""

ON_VAMPS: dict[str, MoveRule] = {rule.name: rule for rule in (StackedFourths(),)}
"""Moves for a chord that stays, where others leave a vamp alone.  They are asked for by name."""

USUAL = ("leading-tone diminished", "rootless dominant", "ascending walk")
"""The moves of the diminished seventh that a search uses unless it is told otherwise."""


def move_named(name: str | Idiom) -> MoveRule:
    """Return a move or an idiom by name; what earlier versions or the trade call it is found too.

    An idiom of a user's own file, which ``move_named`` does not know, is given as it was read.

    Raises
    ------
    HarmonyError
        If it is unknown; with the names that are nearest.

    Examples
    --------
    >>> move_named("ascending walk").name, move_named("climb").name, move_named("subV7").name
    ('ascending walk', 'ascending walk', 'tritone substitution')
    >>> move_named("delayed tonic").name, move_named("tritone ii-V").name
    ('delayed tonic', 'tritone ii–V')
    """
    if isinstance(name, Idiom):
        return _of_idiom(name)
    now = current("move", need_text(name, "the name of a move", f'"{USUAL[0]}"'))
    for known in (MOVES, IN_TIME, ON_VAMPS):
        if now in known:
            return known[now]
    # The table of idioms is read where one is asked for.
    from harmonykit.arrange.idioms.rule import idiom_moves

    idioms = idiom_moves()
    if plain(now) in idioms:
        return idioms[plain(now)]
    names = [*MOVES, *(each.name for each in idioms.values()), *FORMER["move"]]
    close = difflib.get_close_matches(now, names, cutoff=0.4)
    near = list(dict.fromkeys(current("move", each) for each in close)) or list(MOVES)
    raise HarmonyError(
        f"unknown move {name!r}",
        rule=f"the moves are {', '.join(map(repr, MOVES))}; harmonykit idioms lists the others",
        mend=" or ".join(map(repr, near)),
    )


def _of_idiom(idiom: Idiom) -> MoveRule:
    from harmonykit.arrange.idioms.rule import IdiomMove

    if not idiom.after:
        raise HarmonyError(
            f"{idiom.name!r} is an idiom that is found in tunes but not added",
            rule='an idiom that adds chords has "before" and "after"',
            mend=f'"{USUAL[0]}"',
        )
    return IdiomMove(idiom)
