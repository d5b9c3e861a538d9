"""The reharmonisation moves: each a rule with its preconditions and its reason.

The rules are common practice, no source unless one is named: see the docstring of each move.  A
move is one class with a ``name`` and a method ``offer(slot, setting)``; put an instance into
``MOVES`` and it can be asked for by name.
"""

from __future__ import annotations

import difflib

from harmonykit.arrange.moves.approach import Approach
from harmonykit.arrange.moves.climb import Climb
from harmonykit.arrange.moves.dominant import DominantToDiminished
from harmonykit.arrange.moves.rule import MoveRule, Part, Refused, Setting, Variant, as_written
from harmonykit.errors import HarmonyError

__all__ = [
    "MOVES",
    "Approach",
    "Climb",
    "DominantToDiminished",
    "MoveRule",
    "Part",
    "Refused",
    "Setting",
    "Variant",
    "as_written",
    "move_named",
]

MOVES: dict[str, MoveRule] = {
    rule.name: rule for rule in (Approach(), DominantToDiminished(), Climb())
}


def move_named(name: str) -> MoveRule:
    """Return a move by name.

    Raises
    ------
    HarmonyError
        If there is none such; with the names that are nearest.

    Examples
    --------
    >>> move_named("climb").name
    'climb'
    """
    if name in MOVES:
        return MOVES[name]
    near = difflib.get_close_matches(name.strip().casefold(), MOVES, cutoff=0.4) or list(MOVES)
    raise HarmonyError(
        f"{name!r} is no move",
        rule=f"the moves are {', '.join(map(repr, MOVES))}",
        mend=" or ".join(map(repr, near)),
    )
