"""Kinds of chords: what a symbol is counted as (common practice, no source)."""

from __future__ import annotations

import pytest

from harmonykit.evidence.kinds import FAMILIES, JAZZ, KINDS, PLAIN, kind_of, style_of
from harmonykit.theory.chord import Chord, read_symbol
from harmonykit.theory.symbols.quality import BY_SUFFIX

# A symbol, its kind among jazz chords, its kind among triads.
TABLE = """
C 6 maj        C6 6 maj       Cadd9 6 maj    C6/9 6 maj     Cadd11 6 maj
Cmaj7 maj7 maj Cmaj9 maj7 maj Cmaj7#11 maj7 maj Cmaj7b5 maj7 maj Cmaj13 maj7 maj
C7 7 7         C9 7 7         C13 7 7        C7b9 7 7       C7#9 7 7
C7b5 7 7       C7#5 7 7       C7alt 7 7      C13b9 7 7      C7#11 7 7
Cm m min       Cm(add9) m min Cm6 m6 min     Cm6/9 m6 min   Cm7 m7 min
Cm9 m7 min     Cm11 m7 min    Cmmaj7 mmaj7 min Cmmaj9 mmaj7 min
Cm7b5 m7b5 dim Cdim7 dim7 dim Cmb5 dim7 dim  C+ + aug       Cmaj7#5 maj7 aug
Csus4 sus sus  Csus2 sus sus  C7sus4 sus sus C9sus4 sus sus C13sus4 sus sus
C5 6 5         C/E 6 maj      C/D 6 maj      Dm7/C m7 min
"""
ROWS = list(zip(*[iter(TABLE.split())] * 3, strict=True))


@pytest.mark.parametrize(("symbol", "jazz", "plain"), ROWS)
def test_kind_of_a_symbol(symbol, jazz, plain):
    semitones = Chord.parse(symbol).semitones
    assert (kind_of(semitones, JAZZ), kind_of(semitones, PLAIN)) == (jazz, plain)


@pytest.mark.parametrize("style", [JAZZ, PLAIN])
def test_every_quality_and_every_set_of_semitones_has_a_kind_with_a_family(style):
    sets = [quality.degrees for quality in BY_SUFFIX.values()]
    kinds = {kind_of([d.pitch_class for d in each], style) for each in sets}
    kinds |= {kind_of([n for n in range(12) if bits >> n & 1], style) for bits in range(4096)}
    assert kinds == set(KINDS[style])
    assert kinds <= set(FAMILIES)


@pytest.mark.parametrize("kind", KINDS[JAZZ])
def test_a_kind_is_counted_as_itself(kind):
    chord = read_symbol("E" + kind).chord
    assert chord is not None and kind_of(chord.semitones) == kind


def test_style_by_half_of_the_chords():
    def style(row):
        return style_of([Chord.parse(each).semitones for each in row.split()])

    assert style("C F G7 C") == style("C F G7 C7") == PLAIN
    assert style("C F7 G7 C7") == style("Dm7 G7 C6") == JAZZ
