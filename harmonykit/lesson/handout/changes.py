"""What each finger does in a change that matters, as the lines of a table."""

from collections.abc import Iterator

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.fretboard.hands.change import Change
from harmonykit.lesson.together.rescue import Hard
from harmonykit.words.numbers import join_words


def finger_lines(one: Hard) -> Iterator[tuple[str, str]]:
    """Yield what the fingers do in a change, a verb and the rest; a silent verb is left out."""
    yield "bars" if len(one.bars) > 1 else "bar", join_words([*map(str, one.bars)])
    yield from one.change.lines


def bars_first_said(one: Hard, way: Arrangement) -> tuple[str, str]:
    """Return what the two bars to practise first are called, and where to look in them."""
    numbers, first = [number for number, _ in printed_numbers(way)], one.before.bar
    chord = one.after.chord.unicode if one.after.chord is not None else "what comes"
    return (
        f"bars {numbers[first]} and {numbers[first + 1]}",
        f"Look at the frets of {chord} before the bar ends.",
    )


def fingers_said(change: Change) -> str:
    """Return what the fingers do, as the words behind a colon.

    Examples
    --------
    >>> fingers_said(hk.change("2010", "2000"))
    'finger 2 stays; 1 lifts'
    >>> fingers_said(hk.change("2010", "0003"))
    'the open C string stays; 3 lands at fret 3, A string; 1 and 2 lift'
    """
    words = change.words
    if not words[0].isdigit():
        return words
    several = " and " in words.split(";")[0]
    return f"finger{'s' if several else ''} {words}"
