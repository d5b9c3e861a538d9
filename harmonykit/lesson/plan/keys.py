"""Every key of a lesson's header: what it means, of what kind it is, and what holds without it.

The header has the format 2.  Format 1 is read too: there some keys have other names, and a level
says ``hand = 1`` to 3 for its ``reach``.  What a later version will do has its values here
already, and they are refused by name until it does.
"""

import difflib
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from harmonykit.arrange.choruses import MANNERS
from harmonykit.arrange.idioms.frames import ENDINGS, INTROS
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import USUAL_DENSITY
from harmonykit.errors import HarmonyError, Place
from harmonykit.fretboard.hands.hand import BARRES, REACHES
from harmonykit.fretboard.shapes.row_textures import ONE_VOICE, ROW_TEXTURES
from harmonykit.lesson.plan.model import OUTPUTS, PARTS, PLANS, VARIANTS, LessonError
from harmonykit.values import dataclass

FORMAT = 2
FORMATS = (1, 2)
PAPERS = ("a4", "letter")
YES_NO = ("no", "yes")
NEW = "-"
"""Stands for the former name of a key that format 1 does not have."""

WALKS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "none": (),
        "ascending": ("ascending walk",),
        "descending": ("descending walk",),
        "both": ("ascending walk", "descending walk"),
    }
)
"""The moves that a level's ``walks`` adds to its own."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the header, of ``[sound]`` or of a level.

    Parameters
    ----------
    name : str
    kind : type
        Of its value: str, int, float, bool, list or dict.
    example : str
        A value as it is typed.
    meaning : str
    default : str
        What holds where it is left out, in words; ``"needed"`` where it cannot be.
    values : tuple of str, or dict
        What it may be, where that is a list; what each does, where that is told.
    later : tuple of str
        What it may be in a later version.
    former : str
        Its name in format 1; its own where empty, ``NEW`` where that format does not have it.
    former_kind : type, optional
        Of its value in format 1, where that was another.
    """

    name: str
    kind: type
    example: str
    meaning: str
    default: str = ""
    values: tuple[str, ...] | Mapping[str, str] = ()
    later: tuple[str, ...] = ()
    former: str = ""
    former_kind: type | None = None

    def check(self, value: str, place: Place) -> str:
        """Return a value that may stand here now.

        Raises
        ------
        LessonError
            If it is unknown, with the nearest one; if a later version will know it, that it does
            not yet.
        """
        if value in self.values:
            return value
        known = " or ".join(f'{self.name} = "{each}"' for each in self.values)
        if value in self.later:
            rule = f"this version of harmonykit has {known}; {value!r} comes with a later one"
            mend = f'{self.name} = "{next(iter(self.values))}", or leave the line out'
            raise LessonError(
                f"{self.name} = {value!r}: not yet", place=place, rule=rule, mend=mend
            )
        near = difflib.get_close_matches(value, (*self.values, *self.later), 1)
        raise LessonError(
            f"{self.name} = {value!r} is unknown",
            place=place,
            rule=f"it is one of {', '.join(map(repr, self.values))}",
            mend=f'{self.name} = "{near[0]}"' if near and near[0] in self.values else known,
        )


HEADER: tuple[Key, ...] = (
    Key("format", int, "2", "the format of this file", "needed"),
    Key("title", str, '"The stiff dominant"', "the title of the lesson", "needed"),
    Key("subtitle", str, '"..."', "a line below the title", "none"),
    Key("class", str, '"Tuesday ukulele"', "the class it is for", "none", former="group"),
    Key("class_file", str, '"thursday.toml"', "an included class, or a file in "
        "the same folder, with what the class knows (harmonykit parts --example)", "none",
        former=NEW),
    Key("minutes", int, "45", "how long the class meets", "the class file's, or 45", former=NEW),
    Key("plan", str, '"in a row"', "levels side by side in one class, or a class for each level",
        "side by side", PLANS, former=NEW),
    Key("number_in_course", str, '"4"', "the lesson's number in the course", "none",
        former="sheet"),
    Key("tune", str, '"heron_landing"', "an included tune, or a path relative to this file",
        "needed"),
    Key("tune_number", int, "80", "which tune of a file that holds several (ABC's X:)",
        "the only one", former="number"),
    Key("key", str, '"F"', "the key to play the tune in; major or minor stays", "the tune's own",
        former=NEW),
    Key("intro", str, '"last four bars"', "bars before the tune, counted as its own", "none",
        tuple(INTROS), former=NEW),
    Key("ending", str, '"tag"', "bars after the last chord, counted as the tune's", "none",
        tuple(ENDINGS), former=NEW),
    Key("idea", str, '"four_dominants"', "what it is about: an included idea, or a path relative "
        "to this file", "none", former=NEW),
    Key("instrument", str, '"ukulele"', 'an instrument, or its strings: "G4 C4 E4 A4"', "needed"),
    Key("other_instruments", list, '["guitar"]', "more instruments, each with a handout", "none",
        former="also"),
    Key("chord", str, '"C#dim7"', "the chord that the lesson starts from", "needed"),
    Key("chord_shape", str, '"3434"', "the shape of that chord, as fret numbers",
        "the lowest movable shape",
        former="shape"),
    Key("scale", str, '"D major"', "a sixth-diminished scale", "none"),
    Key("scale_shape", str, '"2222"', "the shape that starts the walk", "the lowest one",
        former="from"),
    Key("outputs", list, '["script", "page"]', "what is built", "all but parts", (*OUTPUTS, PARTS)),
    Key("handout_variants", list, '["large print", "one ink, left-handed"]', "handouts "
        "besides the plain one, each alone or several joined by commas; left-handed: a page too",
        "none",
        VARIANTS, former="variants"),
    Key("paper", str, '"a4"', "size of the handout's pages", "a4", PAPERS),
    Key("numerals", str, '"yes"', "Roman numerals under the handout's chords, where "
        "they fit the page", "no", YES_NO, former=NEW),
    Key("language", str, '"en"', "the language of the text, as a tag such as pt-BR (BCP 47)", "en"),
    Key("rights", str, '"..."', "who owns the tune, and what is allowed", "none"),
    Key("sound", dict, "", "[sound]: the play-along files", "mid and mp3"),
    Key("levels", list, "", "[[levels]]: one table per level, 1 to 6", "needed"),
)  # fmt: skip
SOUND: tuple[Key, ...] = (
    Key("files", list, '["mid", "wav", "slow mp3"]', "kinds of files, each alone or after slow, "
        "bass or both; parts mp3", "mid and mp3"),
    Key("slow", float, "0.7", "the slow tempo as a share of the level's tempo, 0.3 to 1", "0.7"),
    Key("tuning", bool, "false", "the open strings before each count-in", "false"),
    Key("click", bool, "true", "a soft click through the tune", "true"),
    Key("melody", bool, "false", "the melody of the tune, too", "false"),
    Key("percussion", bool, "true", "the small percussion of the groove", "true", former=NEW),
)  # fmt: skip
ANY = "any"
TEXTURES = tuple(name for name in ROW_TEXTURES if name != ONE_VOICE)
CONTOUR_OF = {"climbs": "rise", "falls": "fall", "arch": "arch", "valley": "valley"}
"""What a level calls the contours of the highest pitch, and what the search does."""

LEVEL: tuple[Key, ...] = (
    Key("name", str, '"As written"', "what the level is called", "Level and its number"),
    Key("moves", list, '["tritone substitution"]', "moves that may be used "
        "(harmonykit compare --help)", "none: the tune as written"),
    Key("prefer_move", str, '"tritone substitution"', "the move to use wherever it fits",
        "the style's", former="prefer"),
    Key("walks", str, '"ascending"', "walks in the scale of chords, besides the moves",
        "those named in moves", tuple(WALKS), former=NEW),
    Key("idioms", list, '["delayed tonic"]', "idioms that span several chords (harmonykit idioms)",
        "none", former=NEW),
    Key("chosen", list, '["8@3 C#dim7"]', "the chords that are added, by bar and beat: these and "
        "no others", "those that a search finds", former=NEW),
    Key("style", str, '"low on the neck"', "what the search looks for", "usual", tuple(STYLES),
        former="preset"),
    Key("texture", str, '"shells"', "kind of shapes; chord melody: chords with the melody on top",
        "any", (ANY, *TEXTURES), (ONE_VOICE,), NEW),
    Key("density", str, '"usual"', "how many chords are added: all that fit (any), or "
        "only those worth the change (usual)", "any", (ANY, USUAL_DENSITY),
        ("plain", "sparse", "rich"), NEW),
    Key("contour", str, '"climbs"', "how the top line of a phrase moves", "any",
        (ANY, *CONTOUR_OF), ("level",), NEW),
    Key("choruses", list, '["plain", "walking"]', "several choruses, each with its own style",
        "once", MANNERS, former=NEW),
    Key("reach", str, '"small"', "reach of the hand; sets the next four (small: no barre, "
        "low frets)", "small, usual, wide, level by level", tuple(REACHES), former="hand",
        former_kind=int),
    Key("highest_fret", int, "5", "the highest fret", "the reach's", former="max_fret"),
    Key("stretch_mm", float, "67", "widest stretch, lowest to highest fret pressed, in mm",
        "the reach's"),
    Key("barre", str, '"none"', "which barres are allowed", "the reach's", BARRES),
    Key("shortest_chord_seconds", float, "2.0", "the shortest time that a chord lasts, in seconds",
        "the reach's", former="least_seconds"),
    Key("tempo", float, "72", "tempo in quarter notes a minute", "the tune's"),
    Key("groove", str, '"bossa"', "how it is strummed and what the bass plays, by name "
        "(harmonykit words groove), or a file beside this one", "by the tune's metre and style",
        former=NEW),
    Key("strum", str, '"D - D U - U D U"', "the strokes of a bar or two: D down, U up, - ring on "
        "(harmonykit words strum)", "the groove's", former=NEW),
    Key("watch", str, '"..."', "what the class should watch for", "none"),
    Key("practice", list, '["hard change, tempi 60-100"]', "play-alongs to practise with "
        "(harmonykit playalong --help)", "none", former=NEW),
)  # fmt: skip


def key_named(keys: Sequence[Key], name: str) -> Key:
    """Return a key by its name."""
    return next(key for key in keys if key.name == name)


@dataclass(frozen=True, slots=True)
class Names:
    """The keys of a table as a format writes them.

    Examples
    --------
    >>> Names(HEADER, 1).written("other_instruments"), Names(LEVEL, 1).kinds["hand"]
    ('also', <class 'int'>)
    """

    keys: tuple[Key, ...]
    format: int

    @property
    def kinds(self) -> dict[str, type]:
        """The kind of each key's value, by the names that this format has."""
        return {
            self.written(key.name): (self.format == 1 and key.former_kind) or key.kind
            for key in self.keys
            if self.format > 1 or key.former != NEW
        }

    def written(self, name: str) -> str:
        """Return what this format calls a key."""
        key = key_named(self.keys, name)
        return key.former if self.format == 1 and key.former not in ("", NEW) else name

    def today(self, table: Mapping[str, Any]) -> dict[str, Any]:
        """Return a table with the names of today, and a hand as its reach."""
        back = {self.written(key.name): key.name for key in self.keys}
        found = {back[name]: value for name, value in table.items()}
        hand = found.get("reach")
        if isinstance(hand, int):
            if not 1 <= hand <= len(REACHES):
                raise HarmonyError(
                    f"hand = {hand} is unknown",
                    rule=f"hand is 1 (small) to {len(REACHES)} (wide)",
                )
            found["reach"] = tuple(REACHES)[hand - 1]
        return found

    def instead(self, name: str) -> str:
        """Return what an unknown key is in this format, or nothing: the other format's name."""
        for key in self.keys:
            if name in (key.name, key.former) and name != self.written(key.name):
                if self.format == 1:
                    return f"{name} belongs to format 2: format = 2 at the top, then {name}"
                return key.name
        return ""


def header_lines() -> Iterator[str]:
    """Yield a whole header, each key with an example, its meaning and what holds without it."""
    yield "+++"
    yield from typed_keys(HEADER)
    yield ""
    yield "[sound]"
    yield from typed_keys(SOUND)
    yield ""
    yield "[[levels]]"
    yield from typed_keys(LEVEL)
    yield "+++"


def typed_keys(keys: Sequence[Key]) -> Iterator[str]:
    """Yield keys as they are typed, each with an example, its meaning and what holds without it."""
    for key in keys:
        if not key.example:
            continue
        without = key.default if key.default == "needed" else f"left out: {key.default}"
        yield f"{key.name} = {key.example}".ljust(38) + f" # {key.meaning} ({without})"
        said = []
        if isinstance(key.values, Mapping):
            said += ["one of", *(f"  {each}: {does}" for each, does in key.values.items())]
        elif key.values:
            said.append(f"one of {', '.join(key.values)}")
        if key.later:
            said.append(f"not yet: {', '.join(key.later)}")
        yield from (" " * 38 + f" #   {each}" for each in said)


def variant_parts(name: str) -> tuple[str, ...]:
    """Return what a handout's variant is made of, in the order in which variants are listed.

    Examples
    --------
    >>> variant_parts("left-handed, large print")
    ('large print', 'left-handed')

    Raises
    ------
    LessonError
        For a part that is unknown, and for parts that exclude each other.
    """
    asked = [part.strip() for part in str(name).split(",")]
    for part in asked:
        if part in PAPERS:
            what = f"{part!r} is a size of paper, and holds for every handout"
            raise LessonError(what, mend=f'paper = "{part}"')
        if part not in VARIANTS:
            start = part.lower()[:3]  # "large" is "large print"
            near = [each for each in VARIANTS if start and each.startswith(start)] or VARIANTS
            what = f"{part!r} is not a kind of handout"
            raise LessonError(what, mend=", ".join(map(repr, near)))
    if sum(part.startswith("tablet") for part in set(asked)) > 1:
        raise LessonError(f"{name!r}: a tablet that stands and lies", mend="two variants")
    if {"large print", "tablet"} <= {part.partition(" landscape")[0] for part in asked}:
        what = "a handout for a tablet in large print"
        raise LessonError(what, rule="a tablet makes a page larger by two fingers")
    return tuple(part for part in VARIANTS if part in asked)


def one_variant(name: str) -> str:
    """Return a variant's name as it is kept: its parts in order."""
    return ", ".join(variant_parts(name))
