"""Distances: how far chords lie from one another, as a matrix, a map, and a mapping of voices.

The map is made by classical scaling (principal coordinates): the two dimensions in which the
distances are kept best; what they do not keep is printed as the misfit.  The chords in their order
are a path.  One pair is drawn voice by voice.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``DistancePanel`` a thin view.

References
----------
W. S. Torgerson, "Multidimensional Scaling: I. Theory and Method", Psychometrika 17 (1952) 401-419.
J. C. Gower, "Some Distance Properties of Latent Root and Vector Methods", Biometrika 53 (1966)
325-338.
"""

from collections.abc import Iterable
from itertools import pairwise
from typing import ClassVar

import numpy as np

from harmonykit.about.names import note_of
from harmonykit.draw import drawing, tree
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.given import chord_words
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Value, joined
from harmonykit.workbook.panels import distance_scene
from harmonykit.workbook.panels import distance_scene as measure

_CLEAR_MM = (13.6, 7.0)


def scene(chords: int) -> Scene:
    """Return the picture that is drawn once for a number of chords."""
    return distance_scene.scene_of(chords)


def show(result: measure.Distances) -> Shown:
    """Return how the parts of the picture look."""
    places, scale = distance_scene.on_map(np.array(result.places))
    state, size = result.state, len(result.chords)
    looks = _matrix(result) | _map(result, places) | _mapping(result)
    misfit = f"1 semitone; misfit of the map {result.misfit:.2f}"
    looks["scale-word"] = Look("off", misfit)
    moves = [move.displacement for move in result.leading.moves[: distance_scene.MOST_VOICES]]
    courses = distance_scene.voice_courses(moves, size) | {
        "path": joined(tree.polyline(pair) for pair in pairwise(places)),
        "picked": tree.polyline([places[state.start - 1], places[state.end - 1]]),
        "scale": distance_scene.scale_bar(scale),
    }
    return Shown(looks, courses, result.facts)


def _matrix(result: measure.Distances) -> dict[str, Look]:
    seen, pair = {}, {result.state.start - 1, result.state.end - 1}
    names = [chord.unicode for chord in result.chords]
    for row, name in enumerate(names):
        seen[f"name-{row + 1}"] = Look("none", name)
        for column in range(row):
            value = result.rows[row][column]
            on = {row, column} == pair
            said = f"{names[column]} to {name}, {measure.figure(value)}"
            plain = "cell-picked" if on else "cell"
            role = "cell-one" if value == 1 else "cell-two" if value == 2 else plain
            seen[f"cell-{row + 1}-{column + 1}"] = Look(role, measure.figure(value), said, on)
    return seen


def _map(result: measure.Distances, places: list[tuple[float, float]]) -> dict[str, Look]:
    """Return the chords on the map; where two would touch, the later one stands lower."""
    seen: dict[str, Look] = {}
    for n, (chord, place) in enumerate(zip(result.chords, places, strict=True)):
        x, y = place
        taken = [look.at for look in seen.values()]
        while any(abs(a - x) < _CLEAR_MM[0] and abs(b - y) < _CLEAR_MM[1] - 0.1 for a, b in taken):
            y += _CLEAR_MM[1] / 4
        on = n + 1 in (result.state.start, result.state.end)
        role = "box-picked" if on else "box"
        said = f"{chord.unicode} on the map"
        seen[f"place-{n + 1}"] = Look(role, chord.unicode, said, on, (x, y))
    return seen


def _mapping(result: measure.Distances) -> dict[str, Look]:
    one, other = result.pair
    seen = {"from-name": Look("none", one.unicode), "to-name": Look("none", other.unicode)}
    for voice, (start, end, step) in enumerate(result.leading.moves[: distance_scene.MOST_VOICES]):
        seen[f"from-{voice + 1}"] = Look("note", note_of(start, one).unicode)
        seen[f"to-{voice + 1}"] = Look("note", note_of(end, other).unicode)
        sign = "+" if step > 0 else "−"
        seen[f"steps-{voice + 1}"] = Look("none", f"{sign}{abs(step)}" if step else "")
    return seen


def draw(result: measure.Distances) -> drawing.Drawing:
    """Draw a result as a still picture."""
    return scene(len(result.chords)).still(show(result))


class DistancePanel(Panel[measure.DistanceState]):
    """How far chords lie apart: type them, pick a pair, choose how moves are counted.

    Parameters
    ----------
    chords : iterable of Chord or str, or str
        Two to nine; one text has them separated by spaces, commas or bar lines.
    norm : 1, 2 or math.inf
    doubling : bool

    Examples
    --------
    >>> panel = hk.workbook.DistancePanel("C G7")
    >>> print(panel.facts.split(";")[0])
    C to G7: 4 (all semitones, notes doubled), 2 equally good ways
    >>> panel.set("chords", "C Am F G")
    >>> panel.press("place-3")
    >>> panel.state.start, panel.state.end
    (2, 3)
    """

    kind: ClassVar[str] = "distance"
    title: ClassVar[str] = "distances between chords"

    def __init__(
        self,
        chords: Iterable[Chord | str] | str = measure.FIRST,
        norm: float = 1,
        *,
        doubling: bool = False,
    ) -> None:
        given = _typed(chords) if isinstance(chords, str) else chords
        symbols = tuple(each if isinstance(each, str) else each.symbol for each in given)
        word = next((word for word, value in measure.NORMS.items() if value == norm), str(norm))
        super().__init__(measure.DistanceState(symbols, word, doubling))

    @classmethod
    def _blank(cls) -> measure.DistanceState:
        return measure.DistanceState()

    def _scene(self, state: measure.DistanceState) -> Scene:
        return scene(len(state.chords))

    def _shown(self, state: measure.DistanceState) -> Shown:
        return show(measure.compute(state))

    def _controls(self, state: measure.DistanceState) -> tuple[Control, ...]:
        words = tuple(measure.NORM_WORDS.values())
        return (
            Control("chords", "text", "chords", " ".join(state.chords)),
            Control("norm", "choice", "count", measure.NORM_WORDS[state.norm], words),
            Control("doubling", "check", "notes may double", state.doubling),
            Control("next", "button", "Next change"),
        )

    def _after_press(self, state: measure.DistanceState, part: str) -> measure.DistanceState:
        kind, *numbers = part.split("-")
        if kind == "cell":
            end, start = map(int, numbers)
            return changed(state, start=start, end=end)
        picked = int(numbers[0])
        if picked == state.end:
            return changed(state, start=state.end, end=state.start)
        return changed(state, start=state.end, end=picked)

    def _unmoved(self, asked: str) -> str:
        """Say that a change is drawn already."""
        look = self._now.looks.get(asked)
        return f"{look.name}: it is the change that you see below" if look else ""

    def _after_set(
        self, state: measure.DistanceState, control: str, value: Value
    ) -> measure.DistanceState:
        if control == "chords":
            return changed(state, chords=_typed(str(value)), start=1, end=2)
        if control == "norm":
            word = next(norm for norm, word in measure.NORM_WORDS.items() if word == value)
            return changed(state, norm=word)
        if control == "doubling":
            return changed(state, doubling=bool(value))
        start = state.end if state.end < len(state.chords) and state.start < state.end else 1
        return changed(state, start=start, end=start + 1)

    def _chords(self, state: measure.DistanceState) -> tuple[Pitches, ...]:
        result = measure.compute(state)
        lower = close_pitches([move.start for move in result.leading.moves])
        # The voices as they move, and each pitch once.
        upper = [p + move.displacement for p, move in zip(lower, result.leading.moves, strict=True)]
        return tuple(sorted(set(lower))), tuple(sorted(set(upper)))

    def _choice(self, state: measure.DistanceState) -> Choice:
        chord = measure.compute(state).pair[1]
        return Choice(chord.pcs, chord)

    def _after_choice(self, state: measure.DistanceState, choice: Choice) -> measure.DistanceState:
        found = [n for n, symbol in enumerate(state.chords, 1) if _pcs(symbol) == choice.notes]
        if not found or found[0] == state.end:
            return state
        return changed(state, start=state.end, end=found[0])


def _typed(text: str) -> tuple[str, ...]:
    """Return the symbols of chords that are typed in a row."""
    return tuple(word[0] for word in chord_words(text))


def _pcs(symbol: str) -> PcSet:
    return measure.read_chord(symbol).pcs
