"""The sentence that says on a sheet for which strings its shapes are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from harmonykit.fretboard.strings.tuning import is_tuning
from harmonykit.theory.note import printed_accidental

if TYPE_CHECKING:
    from harmonykit.fretboard.strings.instrument import Instrument


def sheet_line(instrument: Instrument) -> str:
    """Return for which strings a sheet is, with everything that sets them apart.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> print(sheet_line(Instrument.named("mandolin")))
    For the mandolin with the strings G D A E from low to high, each doubled.
    """
    labels = printed_labels(instrument)
    text = f"For {_named(instrument)} with the strings {' '.join(labels)}"
    rising = all(low < high for low, high in pairwise(instrument.midi))
    text += (" from low to high" if rising else "") + _doubled(instrument, labels)
    parts = [text, *_high(instrument, labels), *_short(instrument, labels)]
    if instrument.capo:
        parts.append(f"the capo is at fret {instrument.capo}, and frets are counted from it")
    if instrument.left_handed:
        parts.append("for a left-handed player")
    return "; ".join(parts) + "."


def printed_labels(instrument: Instrument) -> tuple[str, ...]:
    """Return the strings' labels with ♭ and ♯.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> printed_labels(Instrument.named("ukulele").with_capo(2))
    ('a', 'D', 'F♯', 'B')
    """
    return tuple(
        label[0] + printed_accidental(note.accidental)
        for label, note in zip(instrument.labels, instrument.strings, strict=True)
    )


def _named(instrument: Instrument) -> str:
    # What was typed as strings has no other name.
    return "an instrument" if is_tuning(instrument.name) else f"the {instrument.name}"


def _doubled(instrument: Instrument, labels: Sequence[str]) -> str:
    if not instrument.doubles:
        return ""
    courses = list(zip(labels, instrument.strings, instrument.doubles, strict=True))
    doubled = [label for label, _, beside in courses if beside]
    octaves = [label for label, note, beside in courses if set(beside) - {note}]
    text = ", each doubled" if len(doubled) == len(labels) else f", {_listed(doubled)} doubled"
    return text + (f" ({_listed(octaves)} in octaves)" if octaves else "")


def _high(instrument: Instrument, labels: Sequence[str]) -> Iterator[str]:
    for string, (now, after) in enumerate(pairwise(instrument.midi)):
        if now > after:
            yield f"the {labels[string]} sounds above the {labels[string + 1]} beside it"


def _short(instrument: Instrument, labels: Sequence[str]) -> Iterator[str]:
    for label, start in zip(labels, instrument.starts, strict=False):
        if start:
            yield f"the {label} is short and starts at fret {start}"


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
