"""The Pareto front: its choices as lettered discs that a list names, the others as small rings.

Conventions.  Marks and list are those of ``scatter``.  Under them stands what the way from the
least of the one measure to the least of the other costs, and where it bends: the choice that has
more of the gain than of the price, each as a part of the whole, by the greatest difference.
"""

from collections.abc import Iterable, Sequence

from harmonykit.arrange.choices import Front, Point, Triple
from harmonykit.draw.drawing import SCREEN_MM, Drawing
from harmonykit.draw.plots.scatter import Mark, draw_marks
from harmonykit.errors import HarmonyError
from harmonykit.words.numbers import counted

LETTERS = "ABCDEFG"


def draw_front(
    front: Front, *, most: int = 7, width_mm: float = SCREEN_MM, palette: str = "colour"
) -> Drawing:
    """Draw a front, its choices lettered and listed.

    Parameters
    ----------
    front : Front
    most : int, optional
        How many choices are lettered.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm, where the list stands below.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If more choices are asked for than there are letters, the front has no point, or the figure
        is narrower than 90 mm.

    Examples
    --------
    >>> tune = hk.read_tune("slack_water_waltz")
    >>> front = hk.pareto_front(tune, "ukulele", ["leading-tone diminished"])
    >>> hk.draw.front(front).alt.split(": ")[0]
    'Pareto front of 9 arrangements, complete'
    """
    if not 1 <= most <= len(LETTERS) or not front.points:
        raise HarmonyError(
            f"{most} choices of {len(front.points)} points",
            rule=f"1 to {len(LETTERS)} choices, from a Pareto front of one point or more",
        )
    chosen = front.choices(most)
    lettered = {point.values for point in chosen}
    marks = [Mark(point.values) for point in front.points if point.values not in lettered]
    marks += [
        Mark(point.values, letter, point.aim, "disc", part=f"choice-{letter}")
        for letter, point in zip(LETTERS, chosen, strict=False)
    ]
    told = told_of(zip(LETTERS, (point.values for point in chosen), strict=False))
    alt = f"{_describe(front, chosen)}. {told}"
    sentences = [told, how_complete(front)]
    return draw_marks(
        marks, "the Pareto front", alt, told=sentences, width_mm=width_mm, palette=palette
    )


def how_complete(front: Front) -> str:
    """Return how complete a front is."""
    points = len(front.points)
    if not front.bounded:
        said = f"The Pareto front has {points} arrangements and is complete"
        return f"{said}: no other has less movement, less travel and fewer added chords."
    semitones, travel, _ = front.epsilon
    return (
        f"The Pareto front shows {points} arrangements. Any arrangement left out is better by at "
        f"most {semitones} semitones and {travel} mm."
    )


def _describe(front: Front, chosen: Sequence[Point]) -> str:
    kind = "not complete" if front.bounded else "complete"
    said = [
        f"{letter}: {counted(point.values[0], 'semitone')} of voice movement, "
        f"{point.values[1]} mm of hand travel, {counted(point.values[2], 'added chord')}"
        for letter, point in zip(LETTERS, chosen, strict=False)
    ]
    return f"Pareto front of {len(front.points)} arrangements, {kind}: {'; '.join(said)}"


def told_of(chosen: Iterable[tuple[str, Triple]]) -> str:
    """Return what less travel costs in movement from end to end, and the choice at the bend.

    Parameters
    ----------
    chosen : iterable of (str, tuple of int)
        Choices of a front: their marks, and their measures.
    """
    named = {values[:2]: mark for mark, values in chosen}
    first = min(named)
    last = min(named, key=lambda pair: (pair[1], pair[0]))
    semitones, travel = last[0] - first[0], first[1] - last[1]
    if not semitones:
        return f"Arrangement {named[first]} moves the voices and the hand least."
    head = (
        f"From {named[first]} to {named[last]} the hand travels {travel} mm less, and the voices "
        f"move {counted(semitones, 'semitone')} more."
    )

    def gain(pair: tuple[int, int]) -> float:
        return (first[1] - pair[1]) / travel - (pair[0] - first[0]) / semitones

    bend = max(named, key=gain)
    if gain(bend) <= 0:
        return head
    return (
        f"{head} The curve bends at {named[bend]}: "
        f"{first[1] - bend[1]} mm less for {counted(bend[0] - first[0], 'semitone')} more."
    )
