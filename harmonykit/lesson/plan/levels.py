"""The levels of a lesson file, read and checked; ``front`` reads all the rest of its header.

Every error is placed at its key.
"""

import difflib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from harmonykit.arrange import styles, wishes
from harmonykit.arrange.choruses import MOST_CHORUSES, repeated
from harmonykit.arrange.chosen_lines import read_chosen
from harmonykit.arrange.moves import move_named
from harmonykit.draw.base.fonts import check_printable, index_of
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import check_line
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.fretboard.hands.hand import REACHES, Limits, limits_at
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.plan.keys import ANY, CONTOUR_OF, LEVEL, WALKS, Names, key_named
from harmonykit.lesson.plan.model import USUAL, LessonError, Level
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.tune.groove.shelf import chosen, groove_for
from harmonykit.tune.groove.value import Groove
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, field, replace

LEAST_SECONDS = (2.0, 1.0, 0.5)
"""How long a chord must last, by the number of the hand."""

# What a level may say of the hand, beside its reach, and what the search calls it.
_HAND_KEYS = {"highest_fret": "max_fret", "stretch_mm": "stretch_mm", "barre": "barre"}
# What is chosen of a few words; some are for a later version.
_CHOICES = ("texture", "density", "contour")
# What a level with choruses leaves to them.
_OF_ONE_CHORUS = ("style", "density", "contour", "prefer_move")
# What a sheet prints as paragraphs, and what it cannot do without.
_SEVERAL_LINES = ("watch", "rights")
_NEVER_EMPTY = ("title", "name")
_WORDS = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    list: "a list",
    dict: "a table",
}


def check_table(
    table: Mapping[str, Any], names: Names, places: TomlPlaces, at: tuple[str, int]
) -> None:
    """Check that a table has keys that are known and values of their kinds.

    Parameters
    ----------
    table : mapping
    names : Names
        The keys that are known, as the file's format writes them.
    places : TomlPlaces
    at : tuple of (str, int)
        Which table of the file it is.

    Raises
    ------
    LessonError
        Placed at the first key that is wrong.
    """
    keys = names.kinds
    for key, value in table.items():
        place = places.key((*at, key))
        if key not in keys:
            near = difflib.get_close_matches(key, keys, 1) or [", ".join(keys)]
            mend = names.instead(key) or near[0]
            raise LessonError(f"unknown key {key!r}", place=place, mend=mend)
        wanted = (int, float) if keys[key] is float else keys[key]
        if not isinstance(value, wanted) or isinstance(value, bool):
            raise LessonError(
                f"{key} is {value!r}",
                place=place,
                rule=_WORDS[keys[key]],
                mend=_as_typed(key, value, keys[key]),
            )


def _as_typed(key: str, value: Any, kind: type) -> str:
    """Return the line as it is typed, where the value needs other signs alone; else nothing."""
    if kind is str and isinstance(value, int | float):
        return f'{key} = "{str(value).lower()}"'
    if kind is list and isinstance(value, str):
        return f'{key} = ["{value}"]'
    if kind in (int, float) and isinstance(value, str) and value.strip().isdigit():
        return f"{key} = {int(value)}"
    return ""


def check_prints(
    table: Mapping[str, Any],
    keys: Iterable[str],
    names: Names,
    places: TomlPlaces,
    at: tuple[str, int],
) -> None:
    """Refuse a table with a text that no sheet can print, at its place.

    Raises
    ------
    HarmonyError
        With the key and the sign, placed at the sign.
    """
    for key in keys:
        text, said = table.get(key, ""), names.written(key)
        if key in table and key not in _SEVERAL_LINES:
            needed = key in _NEVER_EMPTY
            check_line(text, said, places.key((*at, said)), LessonError, needed=needed)
        check_printable(text, said, places.within((*at, said), index_of(text)))


@dataclass(frozen=True, slots=True)
class LevelReader:
    """Reads one ``[[levels]]`` table, the one at an index counted from 0, of a format."""

    places: TomlPlaces
    index: int
    written: Mapping[str, Any]
    tune: Tune
    instrument: Instrument
    format: int
    folder: Path | None = None
    table: Mapping[str, Any] = field(init=False)

    def level(self) -> Level:
        """Return the level.

        Raises
        ------
        HarmonyError
            Placed at its key.
        """
        at = ("levels", self.index)
        check_table(self.written, self.names, self.places, at)
        try:
            object.__setattr__(self, "table", self.names.today(self.written))
        except HarmonyError as error:
            raise error.at(self._place("reach")) from None
        check_prints(self.table, ("name", "watch"), self.names, self.places, at)
        self._check_choices()
        moves = self._all_moves()
        prefer = self._read("prefer_move", _moves)
        style = self._read("style", styles.style_named) or USUAL
        hand = self._hand()
        return Level(
            name=self.table.get("name", f"Level {self.index + 1}"),
            moves=moves,
            prefer=prefer[0] if prefer else _preferred(style, moves),
            limits=self._limits(hand),
            least_seconds=self._number(
                "shortest_chord_seconds", LEAST_SECONDS[hand - 1], 0.2, 10, ""
            ),
            tempo=self._number("tempo", self.tune.tempo, 20, 400, " quarter notes a minute"),
            watch=self.table.get("watch", ""),
            style=style,
            texture=self._texture(moves),
            density=self._choice("density") or wishes.FULL,
            contour=CONTOUR_OF.get(self._choice("contour"), ""),
            choruses=self._choruses(moves),
            practice=self._read("practice", _practice) or (),
            groove=self._groove(),
            demands=self._demands(moves),
        )

    def _groove(self) -> Groove | None:
        """Return the groove of a level, with its own strokes; ``None`` where it says neither.

        A tune's style that no groove suits is refused with every level.
        """
        found = groove_for(self.tune)
        if "groove" not in self.table and "strum" not in self.table:
            return None
        if "groove" in self.table:
            name = self.table["groove"]
            found = self._read("groove", lambda _: chosen(self.tune, found, name, self.folder))
        if "strum" not in self.table:
            return found
        try:
            return found.strummed(self.table["strum"])
        except HarmonyError as error:
            at = ("levels", self.index, self.names.written("strum"))
            place = self.places.within(at, error.column - 1)
            raise LessonError(error.what, place=place, rule=error.rule, mend=error.mend) from None

    def _demands(self, moves: tuple[str, ...]) -> wishes.Demands | None:
        """Return which chords stand where; a chord melody and a level without moves have none."""
        if "chosen" not in self.table:
            return None
        if not moves:
            raise LessonError(
                "chosen and no moves in one level",
                place=self._place("chosen"),
                rule="chosen says which chords the level's moves add",
                mend='moves = ["leading-tone diminished"], or the level without chosen',
            )
        found: wishes.Demands = self._read("chosen", lambda lines: read_chosen(lines, self.tune))
        return found

    def _choice(self, name: str) -> str:
        """Return what is chosen of a key's values; nothing where any will do."""
        value = str(self.table.get(name, ANY))
        return "" if value == ANY else value

    @property
    def names(self) -> Names:
        """The keys of a level as the file's format writes them."""
        return Names(LEVEL, self.format)

    def _check_choices(self) -> None:
        """Refuse what this version cannot do yet: nothing that is written is passed over."""
        for name in _CHOICES:
            if name in self.table:
                key_named(LEVEL, name).check(self.table[name], self._place(name))

    def _texture(self, moves: tuple[str, ...]) -> str:
        """Return the texture of a level; a chord melody takes a melody, and no moves."""
        texture = self._choice("texture")
        said = f"texture = {texture!r}"
        if texture == CHORD_MELODY and not self.tune.melody:
            raise LessonError(
                f"{said}: {self.tune.title!r} has no melody",
                place=self._place("texture"),
                mend='melody = "..." in a section of the tune, or texture = "any"',
            )
        if texture == CHORD_MELODY and moves:
            raise LessonError(
                f"{said} and moves name {moves[0]!r}",
                place=self._place("texture"),
                rule="a chord melody adds chords to fit the melody, not by moves",
                mend="moves = []",
            )
        return texture

    def _choruses(self, moves: tuple[str, ...]) -> tuple[str, ...]:
        """Return the manners of a level's choruses, which have their own moves and styles."""
        manners = tuple(self.table.get("choruses", ()))
        if not manners:
            return ()
        place = self._place("choruses")
        if len(manners) > MOST_CHORUSES:
            raise LessonError(
                f"choruses has {len(manners)} entries", place=place, rule=f"{MOST_CHORUSES} at most"
            )
        for manner in manners:
            key_named(LEVEL, "choruses").check(manner, place)
        own = ["moves"] if moves else []
        own += [name for name in _OF_ONE_CHORUS if name in self.table]
        if own or self._choice("texture") == CHORD_MELODY:
            said = own[0] if own else f"texture = {CHORD_MELODY!r}"
            raise LessonError(
                f"choruses and {said} in one level",
                place=place,
                rule="each chorus has moves and a style of its own",
                mend=f"choruses without {said}, or {said} without choruses",
            )
        try:
            repeated(self.tune, len(manners))
        except HarmonyError as error:
            raise error.at(place) from None
        return manners

    def _all_moves(self) -> tuple[str, ...]:
        """Return the moves of a level, its walks among them."""
        moves: tuple[str, ...] = self._read("moves", _moves) or ()
        moves = tuple(dict.fromkeys((*moves, *(self._read("idioms", _moves) or ()))))
        if "walks" not in self.table:
            return moves
        place = self._place("walks")
        walks = WALKS[key_named(LEVEL, "walks").check(self.table["walks"], place)]
        named = [move for move in moves if move in WALKS["both"] and move not in walks]
        if named:
            raise LessonError(
                f"walks = {self.table['walks']!r} and moves name {named[0]!r}",
                place=place,
                mend=f'walks = "{named[0].split()[0]}", or moves without it',
            )
        return tuple(dict.fromkeys((*moves, *walks)))

    def _hand(self) -> int:
        """Return the number of the hand that the reach is, 1 to 3: level by level, if not said."""
        if "reach" not in self.table:
            return min(self.index + 1, len(REACHES))
        reach = key_named(LEVEL, "reach").check(self.table["reach"], self._place("reach"))
        return 1 + tuple(REACHES).index(reach)

    def _limits(self, hand: int) -> Limits:
        found = limits_at(hand, self.instrument)
        for key, field_name in _HAND_KEYS.items():
            found = (
                self._read(key, lambda own, k=field_name, at=found: replace(at, **{k: own}))
                or found
            )
        if self.table.get("highest_fret", 0) > self.instrument.frets:
            raise LessonError(
                f"{self.names.written('highest_fret')} is {found.max_fret}",
                place=self._place("highest_fret"),
                rule=f"the {self.instrument.name} has {self.instrument.frets} frets",
            )
        return found

    def _number(self, key: str, usual: float, least: float, most: float, unit: str) -> float:
        value = float(self.table.get(key, usual))
        if not least <= value <= most:
            rule = f"{least:g} to {most:g}{unit}"
            said = f"{self.names.written(key)} is {value:g}"
            raise LessonError(said, place=self._place(key), rule=rule)
        return value

    def _read(self, key: str, read: Any) -> Any:
        """Read a value; ``None`` where there is none."""
        if key not in self.table:
            return None
        try:
            return read(self.table[key])
        except HarmonyError as error:
            raise error.at(self._place(key)) from None

    def _place(self, key: str) -> Place:
        return self.places.key(("levels", self.index, self.names.written(key)))


def _preferred(cares: str, moves: tuple[str, ...]) -> str:
    """Return the move that a style prefers, if it may be used."""
    return move if (move := styles.STYLES[cares].prefer) in moves else ""


def _practice(lines: Any) -> tuple[Rehearsal, ...]:
    return tuple(Rehearsal.parse(str(line)) for line in lines)


def _moves(value: Any) -> tuple[str, ...]:
    names = [value] if isinstance(value, str) else value
    return tuple(move_named(str(name)).name for name in names if name)
