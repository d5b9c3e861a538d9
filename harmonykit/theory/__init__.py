"""Pure arithmetic on notes: numpy and the standard library, nothing else.

Notes, chords, scales and sets are names of ``hk``; here is what goes deeper: diminished sevenths
and their uses, chords that alternate, voices that move along a scale, operations on sets.
"""

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
    from harmonykit.theory.consonance import roughness
    from harmonykit.theory.diminished import Move, Resolution
    from harmonykit.theory.kin import Raising, plr, seventh_kin, tonnetz
    from harmonykit.theory.leading.ladder import Ladder, borrow, contrary, move_voices
    from harmonykit.theory.leading.neighbours import OneNote, one_note_changes, shortest_paths, zone
    from harmonykit.theory.leading.voiceleading import VoiceLeading
    from harmonykit.theory.naming import ChordName
    from harmonykit.theory.sets.fourier import Fourier, evenness, fourier
    from harmonykit.theory.sets.operation import (
        Operation,
        forms_within,
        operations,
        transpositions,
        turns_that_fix,
    )
    from harmonykit.theory.sets.setclass import class_distance, embedded, icvsim
    from harmonykit.theory.sets.settable import set_table
    from harmonykit.theory.uses import Use, before_all, functions
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Alternation",
    "ChordName",
    "Cube",
    "Fourier",
    "Ladder",
    "Move",
    "OneNote",
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
    "class_distance",
    "contrary",
    "embedded",
    "evenness",
    "forms_within",
    "fourier",
    "functions",
    "gaps",
    "icvsim",
    "move_voices",
    "one_note_changes",
    "operations",
    "plr",
    "prove_alternation",
    "roughness",
    "set_table",
    "seventh_kin",
    "shortest_paths",
    "symmetrical_sets",
    "tonnetz",
    "transpositions",
    "turns_that_fix",
    "zone",
]
