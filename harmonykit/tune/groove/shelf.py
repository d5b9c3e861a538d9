"""Grooves that ship and a user's own, as files; and which of them a tune is played with.

A file holds one groove::

    format = 1
    name = "shuffle"
    about = "Every beat down and up, the ups soft and late."
    meter = "4/4"
    styles = ["shuffle", "blues"]     # words of a tune's style that it suits
    tempo = [60, 170]                 # quarter notes a minute that it suits
    strum = "D (U) D! (U) D (U) D! (U)"
    bass = "R W W A"                  # where left out, roots on the heavy beats
    percussion = "S (S) S+T (S) S (S) S+T (S)"    # where left out, none
    ending = "D! . D! . D! - - -"     # the bar before the last chord, where it is another
    intro = 4                         # bars before the tune, where an intro is asked for
    swing = 2                         # 1 straight, 2 triplets, 0 less the faster it goes
    timing_ms = 8                     # how early or late a stroke may be, in milliseconds
    dynamics = 6                      # how much louder or softer
    ritard = 1.2                      # how much longer the last bar before the final chord takes
    usual = false                     # whether it is played where a tune says no style
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

from harmonykit.errors import HarmonyError, Place, need_path
from harmonykit.files import toml, toml_places
from harmonykit.paths import data_dir
from harmonykit.tune.bar import write_meter
from harmonykit.tune.groove.strokes import ending_of, hits_of, lows_of, strokes_of
from harmonykit.tune.groove.value import Groove, plain
from harmonykit.tune.text.changes import read_meter
from harmonykit.tune.tune import Meter, Tune

FORMAT = 1
FOLDER = "grooves"
_KINDS: dict[str, tuple[type, ...]] = {
    "format": (int,), "name": (str,), "about": (str,), "meter": (str,), "metre": (str,),
    "styles": (list,), "tempo": (list,), "strum": (str,), "bass": (str,), "percussion": (str,),
    "ending": (str,), "intro": (int,), "swing": (int, float),
    "timing_ms": (int, float), "dynamics": (int,), "ritard": (int, float), "usual": (bool,),
}  # fmt: skip
_WORDS = {
    str: "text in quotes", int: "a number", float: "a number", list: "a list",
    bool: "true or false",
}  # fmt: skip
_TYPED = {
    "format": f"format = {FORMAT}", "name": 'name = "my groove"', "meter": 'meter = "4/4"',
    "strum": 'strum = "D - D U - U D U"',
}  # fmt: skip
_CALLED = {"timing_ms": "timing", "percussion": "beat"}


@cache
def grooves() -> Mapping[str, Groove]:
    """Return the grooves that ship, by name.

    Returns
    -------
    mapping of str to Groove

    Examples
    --------
    >>> hk.tune.grooves()["waltz"].strum
    'D! - D U D U'
    """
    found = [read_groove(path) for path in sorted((data_dir() / FOLDER).glob("*.toml"))]
    return MappingProxyType({groove.name: groove for groove in found})


def find_groove(name: str, folder: Path | None = None) -> Groove:
    """Return a groove by its name: a file in a folder, or in its folder ``grooves``; else shipped.

    Raises
    ------
    HarmonyError
        If there is none, with the nearest name; with file, line and column for what is wrong in it.

    Examples
    --------
    >>> find_groove("bossa").meter
    (4, 4)
    """
    if folder is not None:
        bare = Path(name).name.removesuffix(".toml")
        for place in (folder / f"{bare}.toml", folder / FOLDER / f"{bare}.toml"):
            if place.is_file():
                return read_groove(place)
    shipped = grooves()
    if name in shipped:
        return shipped[name]
    near = difflib.get_close_matches(name, shipped, 1)
    raise HarmonyError(
        f"no groove is called {name!r}",
        rule=f"the grooves are {', '.join(shipped)}, and your own: {name}.toml beside this file",
        mend=f'"{near[0]}"' if near else "",
    )


def read_groove(path: Path | str) -> Groove:
    """Return the groove of a file.

    Parameters
    ----------
    path : Path or str

    Returns
    -------
    Groove

    Raises
    ------
    HarmonyError
        With file, line, column and a caret.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> file = Path(mkdtemp()) / "mine.toml"
    >>> lines = ("format = 1", 'name = "mine"', 'meter = "3/4"', 'strum = "D - D U D U"')
    >>> _ = file.write_text("\\n".join(lines))
    >>> hk.tune.read_groove(file)
    <Groove 'mine' in 3/4: D - D U D U>
    """
    path = need_path(path, "the file of a groove")
    table, places = toml.read_toml_file(path, "the groove")
    return _Reader(table, places).groove()


class _Reader:
    """Reads the table of a groove; every error knows its place."""

    def __init__(self, table: dict[str, Any], places: toml_places.TomlPlaces) -> None:
        self.table, self.places = table, places

    def groove(self) -> Groove:
        self._check()
        meter = self._at("meter" if "meter" in self.table else "metre", read_meter)
        bars = self._at("strum", lambda text: strokes_of(text, meter))
        low = self._at("bass", lambda text: lows_of(text, meter)) if "bass" in self.table else ()
        given: dict[str, Any] = {}
        if "percussion" in self.table:
            given["percussion"] = self._at("percussion", lambda text: hits_of(text, meter))
        if "ending" in self.table:
            given["ending"] = self._at("ending", partial(ending_of, meter=meter))
        for key in ("intro", "about", "swing", "timing_ms", "dynamics", "ritard", "usual"):
            if key in self.table:
                given[key] = self.table[key]
        given |= {"styles": self._styles(), "tempo": self._tempo()}
        return self._with(Groove(self.table["name"], meter, bars, low), given)

    def _check(self) -> None:
        for key, value in self.table.items():
            place = self.places.key(("", 0, key))
            if key not in _KINDS:
                near = difflib.get_close_matches(key, _KINDS, 1)
                mend = near[0] if near else f"one of {', '.join(_KINDS)}"
                raise HarmonyError(f"unknown key {key!r}", place=place, mend=mend)
            kinds = _KINDS[key]
            if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
                said = f"{key} is {str(value)[:40]}"
                raise HarmonyError(said, place=place, rule=f"{key} is {_WORDS[kinds[0]]}")
        needed = {key for key in _TYPED if key != "meter" or "metre" not in self.table}
        for key in (key for key in _TYPED if key in needed and key not in self.table):
            raise HarmonyError(f"{key} is missing", place=Place(self.places.name), mend=_TYPED[key])
        if self.table["format"] != FORMAT:
            place = self.places.value(("", 0, "format"))
            rule = f"this version reads format {FORMAT}"
            raise HarmonyError(
                f"format {self.table['format']}", place=place, rule=rule, mend=_TYPED["format"]
            )
        for key in ("name", "about"):
            if key in self.table:
                place = self.places.value(("", 0, key))
                toml.check_line(self.table[key], key, place, HarmonyError, needed=True)

    def _at(self, key: str, read: Any) -> Any:
        """Read a text; what is wrong with it is placed inside the file."""
        try:
            return read(self.table[key])
        except HarmonyError as error:
            place = self.places.within(("", 0, key), error.column - 1)
            raise HarmonyError(error.what, place=place, rule=error.rule, mend=error.mend) from None

    def _with(self, groove: Groove, given: dict[str, Any]) -> Groove:
        """Return a groove with what else is given; what is wrong has the place of its key."""
        try:
            return replace(groove, **{_CALLED.get(key, key): each for key, each in given.items()})
        except HarmonyError:
            for key, each in given.items():
                try:
                    groove = replace(groove, **{_CALLED.get(key, key): each})
                except HarmonyError as error:
                    raise error.at(self.places.value(("", 0, key))) from None
            raise

    def _styles(self) -> tuple[str, ...]:
        styles = self.table.get("styles", [])
        if not all(isinstance(style, str) and style.strip() for style in styles):
            place = self.places.value(("", 0, "styles"))
            raise HarmonyError("a style is not text", place=place, mend='styles = ["swing"]')
        return tuple(style.lower() for style in styles)

    def _tempo(self) -> tuple[float, float]:
        given = self.table.get("tempo", [10, 1000])
        numbers = [float(n) for n in given if isinstance(n, int | float)]
        if len(numbers) != 2 or len(given) != 2 or not 0 < numbers[0] < numbers[1]:
            place = self.places.value(("", 0, "tempo"))
            rule = "the slowest and the fastest, in quarter notes a minute"
            raise HarmonyError(
                f"tempo is {given}", place=place, rule=rule, mend="tempo = [80, 160]"
            )
        return numbers[0], numbers[1]


def groove_for(tune: Tune, meter: Meter | None = None) -> Groove:
    """Return the groove that suits a tune: of its metre, by its style, then by its tempo.

    Parameters
    ----------
    tune : Tune
        Its ``style`` is any words: the groove with most of them is taken.
    meter : tuple of int, optional
        Of some of its bars; the metre at its start unless given.

    Returns
    -------
    Groove
        A stroke on each beat where no groove has the metre.

    Raises
    ------
    HarmonyError
        If no groove of any metre knows the style, with the nearest that one does.

    Examples
    --------
    >>> hk.tune.groove_for(hk.read_tune("dry_dock_bossa")).name
    'bossa'
    >>> hk.tune.groove_for(hk.Tune.parse("3/4 | C | G7 | C |", key="C")).name
    'waltz'
    """
    return _suited(tune.style.strip().lower(), tune.tempo, meter or tune.meter)


def chosen(tune: Tune, groove: Groove, name: str, folder: Path | None = None) -> Groove:
    """Return a groove by its name, or ``groove`` with other strokes: a line of text has several.

    Raises
    ------
    HarmonyError
        For a name that is unknown, a groove of another metre, and a line that cannot be read.
    """
    if _is_strum(name):
        return in_meter(groove, tune, tune.meter).strummed(name)
    found = find_groove(name, folder)
    if found.meter != tune.meter:
        raise HarmonyError(
            f"{found.name} is in {write_meter(found.meter)}, the tune in {write_meter(tune.meter)}",
            mend=f'"{groove_for(tune).name}"',
        )
    return found


def _is_strum(text: str) -> bool:
    """Whether a text is a strum rather than a name: it has hardly anything but signs of one.

    Examples
    --------
    >>> [_is_strum(text) for text in ("D-DU-UDU", "D - D Q", "cut time", "two-four")]
    [True, True, False, False]
    """
    words = text.upper().split()
    signs = [word for word in words if set(word) <= set("DUXR()!~.-|")]
    return len(signs) * 2 > len(words)


def in_meter(groove: Groove, tune: Tune, meter: Meter) -> Groove:
    """Return a groove, or, in bars of another metre, what suits the tune there, as human as it."""
    if groove.meter == meter:
        return groove
    other = groove_for(tune, meter)
    return replace(other, timing=groove.timing, dynamics=groove.dynamics, seed=groove.seed)


@cache
def _suited(style: str, tempo: float, meter: Meter) -> Groove:
    every = list(grooves().values())
    here = [groove for groove in every if groove.meter == meter]
    if style:
        best = max((_match(groove, style) for groove in every), default=0)
        if not best:
            raise HarmonyError(
                f"no groove suits the style {style!r}",
                rule=f"a style has one of these words: {', '.join(_styles(every))}",
                mend=_near(style, every),
            )
        known = [groove for groove in here if _match(groove, style)]
        if known:
            most = max(_match(groove, style) for groove in known)
            return _by_tempo([g for g in known if _match(g, style) == most], tempo)
    usual = [groove for groove in here if groove.usual]
    # A tempo that nobody asked to slow stays.
    return replace(_by_tempo(usual or here, tempo), ritard=1.0) if here else plain(meter)


def _by_tempo(found: list[Groove], tempo: float) -> Groove:
    """Return the groove whose tempi hold this one, or come next to it; the first of several."""
    return min(found, key=lambda g: max(g.tempo[0] - tempo, tempo - g.tempo[1], 0))


def _match(groove: Groove, style: str) -> int:
    """Return how many words of a style a groove knows at most, as one of its styles."""
    words = set(style.replace("-", " ").split())
    own = [set(each.replace("-", " ").split()) for each in (groove.name, *groove.styles)]
    return max((len(each) for each in own if each <= words), default=0)


def _styles(every: list[Groove]) -> list[str]:
    return sorted({style for groove in every for style in (groove.name, *groove.styles)})


def _near(style: str, every: list[Groove]) -> str:
    near = difflib.get_close_matches(style, _styles(every), 1)
    return f'style = "{near[0]}"' if near else ""
