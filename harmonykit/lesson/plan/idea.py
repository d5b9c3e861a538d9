"""An idea for a lesson as data: a file of its own, which a lesson on any tune can be drafted from.

An idea is written once, on whichever root suits it; ``place`` says which chords of a tune it stands
at, and a draft moves every chord and note of the idea there.  All but the question is optional, and
what is not given follows from source and change.  ``harmonykit ideas --keys`` prints every key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from harmonykit.arrange.moves import move_named
from harmonykit.draw.base.fonts import check_printable, index_of
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import check_line, read_toml_file, toml_string
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.ideas.becomes import TYPED_CHANGES, Becomes
from harmonykit.lesson.plan.keys import LEVEL, Key, Names, typed_keys
from harmonykit.lesson.plan.levels import check_table
from harmonykit.lesson.plan.model import LessonError
from harmonykit.paths import find_data, shipped
from harmonykit.theory.chord import Chord, Interval
from harmonykit.values import dataclass, field, replace

FORMAT = 1
MOST_LEVELS = 5
FIGURES = ("change", "clock", "lowered", "map", "neck", "shapes", "staff")
"""The figures that an idea may name; ``shapes`` has chords behind it: ``"shapes Dm6 G9"``."""

EXERCISES = ("becomes", "targets", "shape", "hear", "parents", "spelling", "moved", "distance",
             "scale", "smoother")  # fmt: skip
"""The kinds of exercise that an idea may name."""

IDEA: tuple[Key, ...] = (
    Key("format", int, "1", "the format of this file", "needed"),
    Key("title", str, '"Four dominants, one chord"', "the title of the lesson", "the question"),
    Key("question", str, '"Which dominants share this chord?"', "what the class finds out",
        "needed"),
    Key("about", str, '"..."', "a sentence or two for the teacher: the answer", "none"),
    Key("source", str, '"Bdim7"', "a chord, a scale or notes that it starts from",
        "the first chord of place"),
    Key("place", str, '"G7 C|Cm"', "chords of a tune where it fits, in any key; | between several",
        "a chord of the source's kind, else the tonic"),
    Key("change", str, '"lower one note"', "what is done to the source", "nothing",
        TYPED_CHANGES),
    Key("target", str, '"7"', "what the change gives: kinds of chord, or chords", "found"),
    Key("hear", str, '"..."', "what to listen for: which voice moves, and where", "none"),
    Key("other_instruments", list, '["guitar"]', "more instruments, for a mixed class", "none"),
    Key("scale", str, '"C major"', "a sixth-diminished scale", "none"),
    Key("statements", list, "['always(\"lowering\")']", "calls that state what it rests on",
        "those of the change"),
    Key("figures", list, '["change", "clock"]', "figures to draw, or calls", "those of the change",
        FIGURES),
    Key("exercises", list, '["becomes", "hear"]', "kinds of exercise", "becomes, shape, hear",
        EXERCISES),
    Key("levels", list, "", "[[levels]]: one table per level; the first may be the tune as written",
        "one for each move that suits its chords"),
)  # fmt: skip
LEVEL_OF_IDEA: tuple[Key, ...] = (
    *LEVEL,
    Key("text", str, '"..."', "the text on the level, in Markdown with calls", "one on its moves"),
)
_TEXTS = ("title", "question", "about", "hear")
_CALLS = re.compile(r"(\{\{.*?\}\})", re.DOTALL)
# A chord in a sentence: "A7", "Dm", or "D" by itself; "A kite" has an article, "the C string" a
# string.
_SAID = re.compile(
    r"(?<![\w#♯♭/-])(?:[A-G][#b♯♭]?(?:maj|min|mM|m|dim|aug|sus|add|[ø°+\d])[\w#♯♭()+]*"
    r"|(?:[B-G][#b♯♭]?|A[#b♯♭]|A(?=[.,;:!?)]|$))(?![\w'’]))(?! string)"
)
_QUOTED = re.compile(r"\"([^\"\n]*)\"|'([^'\n]*)'")
_NAMED = re.compile(r"[A-G](?:[#b]{1,2})?(?!(?!mmaj)[a-z]{4})")


@dataclass(frozen=True, slots=True)
class Idea:
    """An idea for a lesson.

    Parameters
    ----------
    name : str
        The stem of its file.
    values : mapping
        What the file says, by its keys.
    places : TomlPlaces
        Where the file says it.
    called : str
        As a lesson names it: what was typed.

    Examples
    --------
    >>> idea = read_idea("four_dominants")
    >>> idea.question
    'Which four dominants share one diminished seventh?'
    """

    name: str
    values: Mapping[str, Any] = field(hash=False)
    places: TomlPlaces = field(compare=False, repr=False)
    called: str = ""

    @property
    def question(self) -> str:
        """What the class finds out."""
        return str(self.values["question"])

    @property
    def title(self) -> str:
        """The lesson's."""
        return str(self.values.get("title", self.question))

    def text(self, key: str) -> str:
        """Return a text of the file, empty where it has none."""
        return str(self.values.get(key, ""))

    def listed(self, key: str) -> tuple[str, ...]:
        """Return a list of texts of the file."""
        return tuple(self.values.get(key, ()))

    @property
    def levels(self) -> tuple[Mapping[str, Any], ...]:
        """The tables of its levels."""
        return tuple(self.values.get("levels", ()))

    def at(self, key: str) -> Place:
        """Return where the file has a key."""
        return self.places.key(("", 0, key))

    def moved(self, interval: Interval) -> Idea:
        """Return the idea with every chord and note an interval away.

        Examples
        --------
        >>> up = Interval.parse("M2")
        >>> moved = read_idea("four_dominants").moved(up)
        >>> moved.text("source"), moved.text("place")
        ('C#dim7', 'A7 D|Dm')
        """
        values = {key: _moved(key, value, interval) for key, value in self.values.items()}
        return replace(self, values=values)

    def with_names(self, names: Mapping[str, str]) -> Idea:
        """Return the idea with chords of its target and figures named as a tune has them."""

        def one(text: str) -> str:
            return " ".join(names.get(word, word) for word in text.split(" "))

        values = dict(self.values)
        if "target" in values:
            values["target"] = one(values["target"])
        if "figures" in values:
            values["figures"] = [one(each) for each in values["figures"]]
        return replace(self, values=values)


def _moved(key: str, value: Any, interval: Interval) -> Any:
    if key in ("source", "place", "target", "scale"):
        return moved_names(str(value), interval)
    if key == "figures":
        shapes = [moved_names(each, interval) if each.startswith("shapes ") else
                  moved_call(each, interval) for each in value]  # fmt: skip
        return shapes
    if key == "statements":
        return [moved_call(each, interval) for each in value]
    if key == "levels":
        return [{k: _in_calls(v, interval) if k in ("text", "watch") else v
                 for k, v in table.items()} for table in value]  # fmt: skip
    return _in_calls(value, interval) if key in _TEXTS else value


def moved_names(text: str, interval: Interval) -> str:
    """Return a text whose words are chords, notes or other words, with the first two moved.

    Examples
    --------
    >>> moved_names("G7 C|Cm", Interval.parse("M2")), moved_names("7 m6", Interval.parse("M2"))
    ('A7 D|Dm', '7 m6')
    """
    return re.sub(r"[^\s|]+", lambda word: _moved_name(word[0], interval), text)


def moved_call(call: str, interval: Interval) -> str:
    """Return a call with every chord and note among its arguments moved.

    Examples
    --------
    >>> moved_call('common_notes("D7", "Ab7", "F#", "C")', Interval.parse("P4"))
    'common_notes("G7", "Db7", "B", "F")'
    """

    def one(found: re.Match[str]) -> str:
        inner = found[1] if found[1] is not None else found[2]
        return found[0].replace(inner, _moved_name(inner, interval)) if inner else found[0]

    return _QUOTED.sub(one, call)


def _in_calls(text: str, interval: Interval) -> str:
    pieces = _CALLS.split(text)
    pieces[::2] = [_SAID.sub(lambda name: _moved_name(name[0], interval), p) for p in pieces[::2]]
    pieces[1::2] = [moved_call(call, interval) for call in pieces[1::2]]
    return "".join(pieces)


def _moved_name(word: str, interval: Interval) -> str:
    """Return a chord's symbol or a note's name moved, in names of one accidental; others as is.

    Of a scale, "C major", the tonic is moved.
    """
    if not _NAMED.match(word):
        return word
    tonic, space, kind = word.partition(" ")
    if space:
        return f"{_moved_name(tonic, interval)} {kind}"
    try:
        return Chord.parse(word).transpose(interval).easy().symbol
    except HarmonyError:
        return word


def statement_of(way: Becomes, change: str) -> str:
    """Return the call that states what a change does; empty where the source is not a chord.

    Examples
    --------
    >>> way = Becomes(Chord.parse("C+"), Chord.parse("Am"), "raise", "")
    >>> statement_of(way, "raise one note")
    'turns_into("C+", "Am")'
    """
    if way.before is None:
        return ""
    first, second = toml_string(way.before.symbol), toml_string(way.after.symbol)
    if way.before.pcs == way.after.pcs:
        return f"same_notes({first}, {second})"
    if change.endswith("one note"):
        return f"turns_into({first}, {second})"
    if way.before.pcs <= way.after.pcs:
        return f"contains({second}, {first})"
    if change == "alternates":
        return f"alternates({first}, {second})"
    both = way.before.pcs & way.after.pcs
    notes = [toml_string(way.before.spell(pc).plain().name) for pc in both]
    return f"common_notes({', '.join((first, second, *notes))})" if notes else ""


def read_idea(name: str | Path, beside: Path | None = None) -> Idea:
    """Read an idea that ships, or a file.

    Parameters
    ----------
    name : str or Path
        A bare name, or a path.
    beside : Path, optional
        The folder from which a path is told.

    Returns
    -------
    Idea

    Raises
    ------
    HarmonyError
        With file, line and what to type.

    Examples
    --------
    >>> read_idea("delayed_tonic").name
    'delayed_tonic'
    """
    own = beside / name if beside is not None else None
    path = own if own is not None and own.is_file() else find_data("ideas", name)
    values, places = read_toml_file(path, "the idea", LessonError)
    idea = Idea(path.stem, values, places, str(name))
    _check(idea)
    return _with_source(idea)


def _with_source(idea: Idea) -> Idea:
    """Return an idea that changes something with what it changes: its place's first chord."""
    if not idea.text("change") or idea.text("source"):
        return idea
    first = re.split(r"[\s|]+", idea.text("place").strip())[0]
    if not first:
        raise LessonError(
            "a change, and nothing that it is made to", place=idea.at("change"),
            rule="a change is made to the source, or to the first chord of the place",
            mend='source = "Bdim7"',
        )  # fmt: skip
    return replace(idea, values={**idea.values, "source": first})


def every_idea() -> tuple[Idea, ...]:
    """Return every idea that ships, by name."""
    return tuple(read_idea(name) for name in shipped("ideas"))


def _check(idea: Idea) -> None:
    """Refuse what is unknown, of another kind, or cannot be printed, at its place."""
    values, places = idea.values, idea.places
    check_table(values, Names(IDEA, FORMAT), places, ("", 0))
    for key, mend in (("format", "format = 1"), ("question", 'question = "Which ...?"')):
        if key not in values:
            raise LessonError(
                f"{key} is missing", place=Place(places.name), rule="every idea needs it", mend=mend
            )
    if values["format"] != FORMAT:
        raise LessonError(
            f"format {values['format']} is not known here", place=idea.at("format"),
            rule=f"this version reads format {FORMAT}", mend=f"format = {FORMAT}",
        )  # fmt: skip
    for key in _TEXTS:
        text = idea.text(key)
        check_line(text, key, idea.at(key), LessonError, needed=key == "question")
        check_printable(text, key, places.within(("", 0, key), index_of(text)))
    _check_lists(idea)
    if len(idea.levels) > MOST_LEVELS:
        raise LessonError(
            f"{len(idea.levels)} levels", place=idea.at("levels"), rule=f"{MOST_LEVELS} at most"
        )
    for index, table in enumerate(idea.levels):
        _check_level(places, index, table)


def _check_lists(idea: Idea) -> None:
    for key, known in (("exercises", EXERCISES), ("figures", FIGURES)):
        for name in idea.listed(key):
            if name.split(" ")[0] not in known and "(" not in name:
                raise LessonError(
                    f"{key}: {name!r} is unknown", place=idea.at(key),
                    rule=f"it is one of {', '.join(known)}", mend=f'{key} = ["{known[0]}"]',
                )  # fmt: skip
    for call in idea.listed("statements"):
        if "(" not in call:
            raise LessonError(
                f"statements: {call!r} is not a call", place=idea.at("statements"),
                rule="harmonykit lesson --calls lists them",
                mend="statements = ['always(\"lowering\")']",
            )  # fmt: skip


def _check_level(places: TomlPlaces, index: int, table: Any) -> None:
    at = ("levels", index)
    if not isinstance(table, dict):
        raise LessonError("levels are not tables", place=places.key(("", 0, "levels")),
                          mend="[[levels]]")  # fmt: skip
    check_table(table, Names(LEVEL_OF_IDEA, 2), places, at)
    for key in ("moves", "idioms"):
        for name in table.get(key, ()):
            try:
                move_named(str(name))
            except HarmonyError as error:
                raise error.at(places.key((*at, key))) from None
    for key in ("name", "text", "watch"):
        text = table.get(key, "")
        check_printable(text, key, places.within((*at, key), index_of(text)))


def key_lines() -> Iterator[str]:
    """Yield a whole idea file, each key with an example, its meaning and what holds without it."""
    yield from typed_keys(IDEA)
    yield ""
    yield "[[levels]]"
    yield from typed_keys((LEVEL_OF_IDEA[-1], *LEVEL_OF_IDEA[:-1]))
