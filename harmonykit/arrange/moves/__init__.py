"""The reharmonisation moves: each a rule with its preconditions and its reason.

The rules are common practice, no source unless one is named: see the docstring of each move.  A
move is one class with a ``name`` and a method ``offer(slot, setting)``; put an instance into
``MOVES`` and it can be asked for by name.
"""

from __future__ import annotations

import difflib

from harmonykit.arrange.moves.approach import Approach
from harmonykit.arrange.moves.auxiliary import Auxiliary
from harmonykit.arrange.moves.borrowed import BorrowedNote
from harmonykit.arrange.moves.climb import Climb
from harmonykit.arrange.moves.dominant import DominantToDiminished
from harmonykit.arrange.moves.dominants import OtherParent, TritonePartner
from harmonykit.arrange.moves.falling import Falling
from harmonykit.arrange.moves.held_bass import HeldBass
from harmonykit.arrange.moves.rename import Rename
from harmonykit.arrange.moves.rootless import RootlessNinth
from harmonykit.arrange.moves.rule import MoveRule, Part, Refused, Setting, Variant, as_written
from harmonykit.errors import HarmonyError

__all__ = [
    "MOVES",
    "USUAL",
    "MoveRule",
    "Part",
    "Refused",
    "Setting",
    "Variant",
    "as_written",
    "move_named",
]

_RULES: tuple[MoveRule, ...] = (
    Approach(),
    DominantToDiminished(),
    Climb(),
    Climb("descent", -1),
    Falling(),
    Auxiliary(),
    HeldBass(),
    TritonePartner(),
    OtherParent(),
    RootlessNinth(),
    BorrowedNote(),
    Rename(),
)

MOVES: dict[str, MoveRule] = {rule.name: rule for rule in _RULES}
"""Every move by name; where two put in the same chord, the earlier one's reason is given."""

USUAL = ("approach", "dominant to diminished", "climb")
"""The moves of the diminished seventh that a search uses unless it is told otherwise."""


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
