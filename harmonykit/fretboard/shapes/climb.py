"""Shapes carried along a scale: every string one scale step each time."""

from __future__ import annotations

from dataclasses import replace

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.fretboard.given import InstrumentLike
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing
from harmonykit.theory.scale import SixthDiminished, as_sixth_diminished


def scale_of_chords(
    scale: SixthDiminished | str,
    voicing: Voicing | str,
    steps: int = 8,
    instrument: InstrumentLike = "ukulele",
) -> tuple[Voicing, ...]:
    """Return a shape carried along a scale, every string one scale step each time.

    Parameters
    ----------
    scale : SixthDiminished or str
        Every note of the shape is one of its notes; ``"C major"`` will do.
    voicing : Voicing or str
        The first shape, or its frets.
    steps : int
        How many steps up; down for a negative number.
    instrument : Instrument or str
        For a shape given by its frets.

    Returns
    -------
    tuple of Voicing
        One more than the steps, the given shape first.

    Raises
    ------
    HarmonyError
        If a note of the shape is outside the scale, or the row runs past the end of the neck.

    Examples
    --------
    >>> [shape.digits for shape in hk.scale_of_chords("D major", "2222", steps=3)]
    ['2-2-2-2', '3-4-3-4', '4-6-5-5', '6-7-6-7']
    """
    need_whole(steps, "steps")
    scale = as_sixth_diminished(scale)
    voicing = as_voicing(voicing, instrument)
    one = 1 if steps >= 0 else -1
    counts = range(one, steps + one, one)
    return (voicing, *(replace(voicing, frets=_moved(scale, voicing, n)) for n in counts))


def _moved(scale: SixthDiminished, voicing: Voicing, steps: int) -> Fretting:
    frets: list[int | None] = []
    for string, pitch in enumerate(voicing.midi):
        fret = None
        if pitch is not None:
            fret = voicing.instrument.fret_at(string, scale.step(pitch, steps))
            if fret is None:
                raise _off_the_neck(voicing, steps)
        frets.append(fret)
    return tuple(frets)


def _off_the_neck(start: Voicing, steps: int) -> HarmonyError:
    neck = start.instrument
    return HarmonyError(
        f"step {steps} from {start.digits} is beyond the neck",
        rule=f"the frets of the {neck.name} are 0 to {neck.frets}",
        mend=f"fewer steps: steps={steps - 1 if steps > 0 else steps + 1}",
    )
