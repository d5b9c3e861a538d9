"""From the bars as written to the bars as played, and what sounds in them."""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from itertools import pairwise

from harmonykit.tune.bar import bar_length
from harmonykit.tune.tune import PICKUP, Change, PlayedBar, Sung, Tune, TuneError
from harmonykit.tune.unfold import Part, play


def play_bars(tune: Tune) -> tuple[PlayedBar, ...]:
    """Return a tune's bars in playing order, each with its onset."""
    played = []
    onset = Fraction(0)
    for name, bar in play(form_parts(tune)):
        played.append(PlayedBar(bar, onset, name))
        onset += bar.length
    if not played:
        raise TuneError(f"{tune.title!r} has only endings that are never reached")
    return tuple(played)


def form_parts(tune: Tune) -> list[Part]:
    """Return the sections in the form's order; a first one may be a silent pick-up."""
    written = {section.name: section.bars for section in tune.sections}
    return [
        Part(name, written[name], silent_pickup=name == PICKUP and not written[name][0].changes)
        for name in tune.form
    ]


def play_changes(playing: tuple[PlayedBar, ...]) -> tuple[Change, ...]:
    """Return the changes of played bars, each lasting until the next."""
    found = [
        (change.chord, played.onset + change.at, played.bar.number)
        for played in playing
        for change in played.bar.changes
    ]
    if found and found[0][0] is None:
        del found[0]  # it has been silent from the start
    if not found or found[0][1] > 0:
        found.insert(0, (None, Fraction(0), playing[0].bar.number))
    end = (None, playing[-1].onset + playing[-1].bar.length, 0)
    held = [played.onset + at for played in playing for at in played.bar.fermatas]
    return tuple(
        Change(chord, onset, after - onset, bar, _between(held, onset, after))
        for (chord, onset, bar), (_, after, _) in pairwise([*found, end])
    )


def _between(places: list[Fraction], start: Fraction, end: Fraction) -> bool:
    index = bisect_left(places, start)
    return index < len(places) and places[index] < end


def play_melody(playing: tuple[PlayedBar, ...]) -> tuple[Sung, ...]:
    """Return the melody of played bars, tied notes joined where they do follow each other."""
    sung: list[Sung] = []
    tied = False
    for played in playing:
        for note in played.bar.melody:
            onset = played.onset + note.at
            last = sung[-1] if tied else None
            if last and last.note.midi == note.note.midi and last.onset + last.beats == onset:
                sung[-1] = Sung(last.note, last.onset, last.beats + note.beats)
            else:
                sung.append(Sung(note.note, onset, note.beats))
            tied = note.tied
    return tuple(sung)


def bar_numbers(tune: Tune) -> list[tuple[int, bool]]:
    """Return the number of each bar in playing order, and whether the bar is the first to bear it.

    A pick-up is bar 0; what completes a bar after a repeat bears that bar's number (common practice
    of engravers, no source).

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> bar_numbers(read_tune(find_data("tunes", "heron_landing")))[-1]
    (32, True)
    """
    numbers: list[tuple[int, bool]] = []
    number, room = (-1 if tune.pickup else 0), Fraction(0)
    for place in tune.playing:
        missing = bar_length(place.bar.meter) - place.bar.length
        if missing > 0 and place.bar.length <= room:
            room -= place.bar.length
            numbers.append((number, False))
            continue
        number += 1
        room = missing if number else Fraction(0)
        numbers.append((number, number > 0))
    return numbers
