"""Pure arithmetic on notes: numpy and the standard library, nothing else.

Notes, chords, scales and sets are names of ``hk``; here is what goes deeper: diminished sevenths
and their uses, chords that alternate, voices that move along a scale, operations on sets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.theory.alternation import (
        Alternation,
        Cube,
        alternating,
        alternation_cube,
        gaps,
        prove_alternation,
        symmetrical_sets,
    )
    from harmonykit.theory.chord import Reading
    from harmonykit.theory.diminished import Move, Raising, Resolution
    from harmonykit.theory.leading.ladder import Ladder, borrow, contrary, move_voices
    from harmonykit.theory.leading.voiceleading import VoiceLeading
    from harmonykit.theory.naming import ChordName
    from harmonykit.theory.sets.operation import (
        Operation,
        forms_within,
        operations,
        transpositions,
        turns_that_fix,
    )
    from harmonykit.theory.sets.settable import set_table
    from harmonykit.theory.uses import Use, before_all, functions
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Alternation",
    "ChordName",
    "Cube",
    "Ladder",
    "Move",
    "Operation",
    "Raising",
    "Reading",
    "Resolution",
    "Use",
    "VoiceLeading",
    "alternating",
    "alternation_cube",
    "before_all",
    "borrow",
    "contrary",
    "forms_within",
    "functions",
    "gaps",
    "move_voices",
    "operations",
    "prove_alternation",
    "set_table",
    "symmetrical_sets",
    "transpositions",
    "turns_that_fix",
]
