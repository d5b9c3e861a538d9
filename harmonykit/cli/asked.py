"""What ``harmonykit compare`` is asked for beside tune and instrument, and what it finds so."""

import re
from collections.abc import Iterable
from pathlib import Path

from harmonykit.arrange import offering, places, search, styles
from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.idioms.frames import ENDINGS, INTROS, framed
from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.idioms.reading import BESIDE, idioms_beside, read_idioms
from harmonykit.arrange.moves import move_named
from harmonykit.arrange.wishes import DENSITIES, FULL, USUAL_DENSITY, Demands, Wishes
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.shapes.row_textures import ROW_TEXTURES
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.score.typed import take_in
from harmonykit.values import dataclass, replace
from harmonykit.words.former import plain


def tune_of(given: str, number: int | None = None) -> Tune:
    """Return the tune of a name, a path, or a text in any form that ``tune`` reads."""
    if "|" in given:
        return take_in(given, number or 0).tune
    return read_tune(find_data("tunes", given), number=number)


_BARS = re.compile(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for.

    Parameters
    ----------
    style, density, texture : str
        As ``reharmonise`` has them, the density also a number of added places in eight bars at
        most; empty where not asked for.
    contours : tuple of str
    locked : frozenset of int
        Printed numbers of bars that stay as written.
    without : tuple of str
        Names of moves and idioms that are not used.
    refused : tuple of str
        Places of what is taken whose added chords are refused.
    chosen : tuple of (str, str)
        Places with the chords that are to stand there in what is taken.
    own : tuple of Idiom
        Idioms of the user's own that may be used where all may.
    """

    style: str = ""
    density: str = ""
    texture: str = ""
    contours: tuple[str, ...] = ()
    locked: frozenset[int] = frozenset()
    without: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    chosen: tuple[tuple[str, str], ...] = ()
    own: tuple[Idiom, ...] = ()

    def __post_init__(self) -> None:
        if self.density and not self.density.isdecimal():
            need_one_of(self.density, "density", (*DENSITIES, "2", "4", "8"))
        if self.texture:
            need_one_of(self.texture, "texture", ROW_TEXTURES)
        for each in self.contours:
            need_one_of(each, "contour", styles.CONTOURS)

    @property
    def is_searched(self) -> bool:
        """Whether anything is asked for that changes what is searched."""
        return bool(self.texture or self.contours or self.locked or self.without or self.density)

    def found(
        self,
        tune: Tune,
        instrument: Instrument,
        moves: Iterable[str],
        name: str,
        *,
        full: bool = False,
        style: str = "",
    ) -> Arrangement:
        """Return the best arrangement with some moves; ``full`` is the density if none is asked.

        Raises
        ------
        HarmonyError
            If a chord has no shape, or nothing fits what is asked for.
        """
        density = FULL if full else USUAL_DENSITY
        wishes = Wishes(
            style=style or self.style or styles.USUAL_STYLE,
            density=self.density if self.density in DENSITIES else density,
            texture=self.texture,
            contours=self.contours,
            demands=self._demands(),
            idioms=self._used,
            name=name,
        )
        found = search.reharmonise(tune, instrument, self.allowed(moves), 1, wishes=wishes)
        return self._thinned(found[0])

    def again(self, way: Arrangement) -> Arrangement:
        """Return an arrangement that was found without it, found with what is asked for."""
        mine = self.own_names if offering.ALL_IDIOMS in styles.STYLES[way.asked.style].moves else ()
        asked = replace(way.asked, idioms=(*way.asked.idioms, *self._used))
        if not self.is_searched and not mine:
            return replace(way, asked=asked)
        wishes = replace(
            asked,
            density=self.density if self.density in DENSITIES else asked.density,
            texture=self.texture or asked.texture,
            contours=self.contours or asked.contours,
            demands=self._demands(),
            name=way.name,
        )
        moves = self.allowed((*way.moves, *mine))
        return self._thinned(
            search.reharmonise(way.tune, way.instrument, moves, 1, wishes=wishes)[0]
        )

    def allowed(self, moves: Iterable[str]) -> tuple[str, ...]:
        """Return the moves that may be used."""
        return tuple(move for move in moves if move not in self.without)

    @property
    def own_names(self) -> tuple[str, ...]:
        """The names of the user's own idioms that add chords and may be used."""
        return tuple(idiom.name for idiom in self._used if idiom.after)

    @property
    def _used(self) -> tuple[Idiom, ...]:
        return tuple(idiom for idiom in self.own if idiom.name not in self.without)

    def placed(self, way: Arrangement) -> tuple[Arrangement, ...]:
        """Return an arrangement with what is refused at single places, and then with each choice.

        The last has all that is asked for.
        """
        for place in self.refused:
            way = places.refused_at(way, place)
        found = [way]
        for place, chords in self.chosen:
            found.append(places.replaced_at(found[-1], place, chords))
        return tuple(found)

    def _demands(self) -> Demands | None:
        return Demands(locked=self.locked) if self.locked else None

    def _thinned(self, way: Arrangement) -> Arrangement:
        if not self.density.isdecimal() or not way.added:
            return way
        return offering.densities(way, [int(self.density)])[0]


def style_asked(name: str) -> str:
    """Return a style by its name, one of an earlier version too; nothing for nothing."""
    return styles.style_named(name) if name else ""


def framed_tune(tune: Tune, intro: str, ending: str) -> Tune:
    """Return a tune with an intro and an ending by their names, or by how one of them begins.

    Examples
    --------
    >>> framed_tune(Tune.parse("| Dm7 | G7 | C6 | C6 |"), "Pedal", "").bar_count
    8
    """
    return framed(tune, _begun(intro, INTROS), _begun(ending, ENDINGS))


def _begun(typed: str, names: Iterable[str]) -> str:
    """Return the one name that begins with what was typed, or what was typed."""
    folded = typed.casefold().strip()
    begun = [name for name in names if folded and name.casefold().startswith(folded)]
    return begun[0] if len(begun) == 1 else typed.strip()


def moves_asked(names: Iterable[str], own: Iterable[Idiom] = ()) -> tuple[str, ...]:
    """Return moves and idioms by their names, several in a text parted by commas."""
    typed = (part.strip() for name in names for part in name.split(","))
    mine = {plain(idiom.name): idiom.name for idiom in own}
    return tuple(mine.get(plain(part)) or move_named(part).name for part in typed if part)


def own_idioms(tune: str, own: Path | None) -> tuple[str, tuple[Idiom, ...]]:
    """Return a user's own idioms, of a file or of the one beside the tune, and what is said of it.

    Parameters
    ----------
    tune : str
        As it was typed.
    own : Path or None
        The file that was named.
    """
    if own is not None:
        return f"with the idioms of {own}", tuple(read_idioms(own).values())
    found = None if "|" in tune else idioms_beside(find_data("tunes", tune))
    return ("", ()) if found is None else (BESIDE, tuple(found.values()))


def contours_asked(text: str) -> tuple[str, ...]:
    """Return contours that are typed with commas.

    Examples
    --------
    >>> contours_asked("rise, fall")
    ('rise', 'fall')
    """
    return tuple(part.strip() for part in text.split(",") if part.strip())


def bars_asked(text: str, tune: Tune) -> frozenset[int]:
    """Return the printed numbers of bars that are typed as ``3,7-8``.

    Raises
    ------
    HarmonyError
        If it is typed otherwise, or the tune has no such bar.

    Examples
    --------
    >>> sorted(bars_asked("1, 3-4", Tune.parse("| C | F | G7 | C |")))
    [1, 3, 4]
    """
    found: set[int] = set()
    there = {bar.number for bar in tune.bars}
    for part in filter(None, (part.strip() for part in text.split(","))):
        match = _BARS.fullmatch(part)
        if match is None:
            rule = "bar numbers, separated by commas"
            raise HarmonyError(f"--lock {part}", rule=rule, mend="--lock 3,7-8")
        first, last = int(match[1]), int(match[2] or match[1])
        if first > last or not {first, last} <= there:
            rule = f"bars {min(there)} to {max(there)}"
            raise HarmonyError(f"--lock {part}: {tune.title!r} does not have these bars", rule=rule)
        found |= there & {*range(first, last + 1)}
    return frozenset(found)
