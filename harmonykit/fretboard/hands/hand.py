"""The hand: what four fingers can hold, how far they stretch, and how far they travel.

The model
---------
1. Fingers 1 (index) to 4 (little finger) press strings.  The thumb stays behind the neck, unless
   the limits let it press the first string from over the neck (``Limits.thumb``): then it does so
   in the index finger's fret or in one beside it.
2. One finger presses one note, unless it lies flat.  Fingers rise with the frets, and within a
   fret with the strings.
3. The *stretch* is the way from the lowest to the highest fretted wire, and stays within what is
   asked.  All fingers stand the same way behind their wires, so that wire to wire is finger to
   finger.
4. Each *pair* of fingers has a limit of its own, a share of the reach from index to little finger
   (``Limits.pairs_mm``): middle and ring, and ring and little finger, move together and part
   least; the index is the freest.
5. A *barre* is the index laid over the lowest fretted fret, from the first to the last string
   stopped there: it has two ends, and between them no string may sound open or lie muted.  Up to
   three strings lie under its last joint, which stands off the open strings past it (x32110); the
   whole finger, which a wider barre takes, lies over those strings too.
6. The last finger may lie flat over a row of two or three neighbouring strings in the highest
   fret, if none past the row sounds open (5x555x, x13331).  The little finger is too short to
   stand off any string past the row.  The ring finger may also lie so below the little finger,
   whose string is past the row (x32335).
7. Three tips at most press side by side in one fret.
8. Tips *crowd* in the narrow frets high up a short neck: fingers in one fret on neighbouring
   strings, 9 mm apart, stand one behind the other so far that tips of 11 mm do not overlap, and
   the fret has to be long enough for that.  Three tips want 12.7 mm, which a soprano ukulele has
   up to fret 7 and a concert ukulele up to fret 10.
9. With index and middle side by side in one fret, the little finger does not reach across them
   to a string on their far side: 3-2-1-1 wants its barre.
10. Among the fingerings that pass, the one nearest to a finger a fret is taken; a flat finger
    counts as its strings, and each fret left free between two neighbouring fingers as one.  Open
    shapes up to the third fret lie in first position.  Inside a progression the one is taken by
    which the hand moves least (``progression``).

It leaves out: the way across the strings in the stretch, tips in neighbouring frets, the width of
the fretboard and the height of the strings, a fingertip that mutes the string beside it,
half-pressed barres, pain, and practice.  The numbers are settings, not laws of the body: common
practice, no source.

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from harmonykit.fretboard.hands.fingering import STRING_GAP_MM, Barre, Fingering
from harmonykit.fretboard.hands.holding import can_hold, fit
from harmonykit.fretboard.hands.limits import LEVELS, PAIRS, REACHES, Limits, limits_at
from harmonykit.fretboard.hands.travel import travel_matrix, travel_mm

if TYPE_CHECKING:
    from harmonykit.fretboard.shapes.voicing import Voicing

__all__ = [
    "LEVELS",
    "PAIRS",
    "REACHES",
    "STRING_GAP_MM",
    "Barre",
    "Fingering",
    "Limits",
    "can_hold",
    "caution",
    "fit",
    "limits_at",
    "travel_matrix",
    "travel_mm",
]

_WIDE_MM = 80.0


def caution(voicing: Voicing) -> str:
    """Return a sentence to stand beside a wide stretch or a barre; empty where there is neither.

    A stretch is called wide from where level 2 ends, 80 mm.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> from harmonykit.fretboard.shapes.voicing import Voicing
    >>> print(caution(Voicing.parse("3211", Instrument.named("ukulele"))).split(" Pain")[0])
    This shape needs a barre over 2 strings: if it hurts, stop.
    >>> caution(Voicing.parse("2010", Instrument.named("ukulele")))
    ''
    """
    fingering = voicing.fingering
    barres = fingering.barres if fingering else ()
    strains = [f"a barre over {barre.width} strings" for barre in barres]
    if voicing.stretch_mm > _WIDE_MM:
        strains.insert(0, f"a stretch of {voicing.stretch_mm:.0f} mm")
    if not strains:
        return ""
    hurts = "it hurts" if len(strains) == 1 else "either hurts"
    return (
        f"This shape needs {' and '.join(strains)}: if {hurts}, stop. "
        "Pain that stays is for a teacher or a clinician."
    )
