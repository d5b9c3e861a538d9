"""An arrangement as a lead sheet for those who do not play its shapes: melody and chords in order.

Conventions.  The sheet is written out in playing order, as the score of the shapes is, so that both
have the same bars.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.score.musicxml_out import PARTS, write_musicxml
from harmonykit.theory.chord import Chord
from harmonykit.tune.fold import write_out
from harmonykit.tune.tune import Bar, Tune

__all__ = ["PARTS", "lead_sheet", "part_musicxml"]


def lead_sheet(arrangement: Arrangement) -> Tune:
    """Return the tune with the arrangement's chords, written out as it is played."""
    plain = write_out(arrangement.tune)
    bars = _bars(arrangement)
    sections = tuple(
        replace(section, bars=tuple(next(bars) for _ in section.bars)) for section in plain.sections
    )
    return replace(plain, sections=sections, tempo=arrangement.tempo)


def _bars(arrangement: Arrangement) -> Iterator[Bar]:
    """Yield the played bars with the steps' chords; one that only lasts on is not written again."""
    before: Chord | None = None
    playing = arrangement.tune.playing
    for index, (played, steps) in enumerate(zip(playing, arrangement.bars(), strict=True)):
        starts: list[tuple[Chord | None, Fraction]] = []
        new_section = index == 0 or playing[index - 1].section != played.section
        for step in steps:
            if step.chord != before or (new_section and not starts):
                starts.append((step.chord, step.onset - played.onset))
            before = step.chord
        bar = Bar.of(played.bar.meter, starts, played.bar.length)
        yield replace(bar, melody=played.bar.melody, fermatas=played.bar.fermatas)


def part_musicxml(arrangement: Arrangement, part: str = "concert") -> str:
    """Return the lead sheet of an arrangement as MusicXML, for one of ``PARTS``.

    Raises
    ------
    TuneError
        If the part is another.
    """
    return write_musicxml(lead_sheet(arrangement), part)
