"""The melody as fret numbers on the strings."""

from fractions import Fraction
from itertools import product

from harmonykit.arrange.arrangement import Arrangement

# The low positions first.
_HIGHEST = (7, 12)


def tab_of(way: Arrangement) -> dict[int, list[tuple[Fraction, int, int]]]:
    """Return the melody as frets, by the place of each bar played: place, string and fret.

    An arrangement of the melody is given as its shapes are.  Else each note stands at the lowest
    fret that it has, all an octave or two higher or lower where the instrument asks for that.  A
    note that a tie carries on is not written again.  Nothing where a note has no place.
    """
    tune = way.tune
    found: dict[int, list[tuple[Fraction, int, int]]] = {}
    if way.is_melody:
        for index, (steps, played) in enumerate(zip(way.bars(), tune.playing, strict=True)):
            found[index] = [
                (step.onset - played.onset, string, fret)
                for step in steps
                if step.voicing
                for string, fret in enumerate(step.voicing.frets)
                if fret is not None
            ]
        return found
    places = _places(way)
    if places is None:
        return {}
    for index, played in enumerate(tune.playing):
        tied = (
            index > 0
            and bool(tune.playing[index - 1].bar.melody)
            and (tune.playing[index - 1].bar.melody[-1].tied)
        )
        row = []
        for note in played.bar.melody:
            if not tied:
                row.append((note.at, *places[note.note.midi]))
            tied = note.tied
        found[index] = row
    return found


def _places(way: Arrangement) -> dict[int, tuple[int, int]] | None:
    """Return for each pitch of the melody its string and fret; none where it cannot be played."""
    pitches = {sung.note.midi for sung in way.tune.melody}
    if not pitches:
        return None
    neck = way.instrument
    # A string above its neighbour breaks the line: a tune goes on over the others.
    line = [s for s, low in enumerate(neck.midi) if low < min((*neck.midi[s + 1 :], 999))]
    for highest, octaves in product(_HIGHEST, (0, 1, -1, 2, -2)):
        found = {}
        for pitch in pitches:
            frets = [
                (pitch + 12 * octaves - neck.midi[string], -string)
                for string in line
                if neck.has_fret(string, pitch + 12 * octaves - neck.midi[string])
            ]
            if not frets:
                break
            fret, string = min(frets)
            found[pitch] = (-string, fret)
        else:
            if max(fret for _, fret in found.values()) <= highest:
                return found
    return None
