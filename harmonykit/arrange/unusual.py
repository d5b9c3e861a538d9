"""How much more unusual a tune's harmony becomes by other chords, in bits.

Only structural chords are asked about: those that a lead sheet would write.  What is added as
ornament (walks, leading-tone chords, suspensions) is not written there, and was not counted.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from harmonykit.arrange.arrangement import ORNAMENTS, Tune
from harmonykit.arrange.moves import Variant
from harmonykit.arrange.slots import Slot
from harmonykit.evidence import keys, kinds
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import hear

Row = tuple[tuple[Chord, int, bool], ...]
"""Chords, each with its bar and whether it starts on a heavy beat."""


def counted_style(tune: Tune) -> str:
    """Return the style in which a tune's changes are counted."""
    sounding = [change.chord.semitones for change in tune.changes if change.chord is not None]
    return kinds.style_of(sounding)


@lru_cache(maxsize=1 << 14)
def row_bits(row: Row, key: Key, style: str) -> float:
    """Return the bits of all changes of a row of chords, heard from a key.

    Examples
    --------
    >>> usual, odd = (
    ...     tuple((Chord.parse(name), bar, True) for bar, name in enumerate(names.split()))
    ...     for names in ("Dm7 G7 Cmaj7", "Dm7 Ab7 Cmaj7")
    ... )
    >>> row_bits(usual, Key.parse("C"), "jazz") < row_bits(odd, Key.parse("C"), "jazz")
    True
    """
    # The counts are loaded where they are asked for.
    from harmonykit.evidence.harmony import harmony_of

    heard = [hear(chord, style, bar, strong=strong) for chord, bar, strong in row]
    return sum(harmony_of(style).bits(keys.merged(heard), (key.tonic.pitch_class, key.mode)))


def extra_bits(tune: Tune, style: str, variant: Variant, slots: Sequence[Slot]) -> float:
    """Return by how many bits a variant is more unusual than the slots as written.

    Its own chords stand between those before and after its slots.  What ornaments is left out.
    """
    covered = slots[: variant.slots]
    before, after = covered[0].before, slots[variant.slots - 1].after
    head = [(before, covered[0].bar - 1, True)] if before is not None else []
    tail = [(after, covered[-1].pieces[-1].bar + 1, True)] if after is not None else []
    written = [(slot.chord, slot.bar, _opens(slot.pieces[0].at)) for slot in covered if slot.chord]
    starts = {slot.onset: slot for slot in covered}
    own = [
        (part.chord, part.bar, part.onset in starts and _opens(starts[part.onset].pieces[0].at))
        for part in variant.parts
        if part.chord is not None and part.move not in ORNAMENTS
    ]
    rows = [tuple([*head, *row, *tail]) for row in (own, written)]
    new, old = (row_bits(row, tune.key, style) if len(row) > 1 else 0.0 for row in rows)
    return new - old


def _opens(at: Fraction) -> bool:
    return at == 0
