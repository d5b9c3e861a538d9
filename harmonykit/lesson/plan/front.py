"""The header of a lesson file: what it may say, read and checked.

``harmonykit.lesson.plan.source`` shows the form.  Every error is placed at its key or inside its
value.
"""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from harmonykit.arrange.idioms.frames import framed
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import read_toml
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.plan import idea, keys, levels, sizes, starts, takes
from harmonykit.lesson.plan.keys import FORMAT, FORMATS, HEADER, PAPERS, YES_NO, Names, key_named
from harmonykit.lesson.plan.model import OUTPUTS, PARTS, PLANS, Front, LessonError, Level
from harmonykit.lesson.plan.shown import Shown, leading, whole
from harmonykit.paths import find_data, shipped
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.tune.class_file import LONGEST, MINUTES, SHORTEST, ClassFile, read_class
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

MOST_LEVELS = 6
MOST_INSTRUMENTS = 6
ReadTune = Callable[[Path, int | None], Tune]

_PRINTED = ("title", "subtitle", "class", "number_in_course", "rights")
# What a lesson needs, each as it may be typed.
_TYPED = {
    "format": f"format = {FORMAT}", "title": 'title = "My lesson"',
    "tune": 'tune = "heron_landing"',
    "instrument": 'instrument = "ukulele"', "chord": 'chord = "C#dim7"',
    "levels": '[[levels]], and below it name = "As written"',
}  # fmt: skip
_BEFORE = "a lesson has it between its two lines of +++, and [sound] and [[levels]] come last"
# Language, and what tells its kinds apart: the forms of RFC 5646 that are in use.
_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*")


def read_front(
    path: Path,
    places: TomlPlaces,
    tune_path: Path | None = None,
    number: int | None = None,
    instrument: str | None = None,
    read_tune: ReadTune = read_tune,
) -> Front:
    """Read the header of the lesson file at a path; see ``read_lesson``.

    Raises
    ------
    HarmonyError
        With file, line, column and a caret.
    """
    written, _ = read_toml(places.source, places.name, "the header", LessonError)
    names = Names(HEADER, _format(written, places))
    levels.check_table(written, names, places, ("", 0))
    values = names.today(written)
    reader = _Reader(path, places, values, names, instrument, read_tune)
    return reader.front(tune_path, number)


def _format(written: Mapping[str, Any], places: TomlPlaces) -> int:
    """Return the format that a header says it has."""
    given = written.get("format")
    if given is None:
        place = Place(places.name)
        former = Names(HEADER, 1).kinds.keys() - Names(HEADER, FORMAT).kinds.keys()
        mend = "format = 1" if former & written.keys() else _TYPED["format"]
        raise LessonError("format is missing", place=place, rule=_BEFORE, mend=mend)
    if given not in FORMATS or not isinstance(given, int) or isinstance(given, bool):
        known = " and ".join(map(str, FORMATS))
        raise LessonError(
            f"format {given} is not known here",
            place=places.key(("", 0, "format")),
            rule=f"this version reads formats {known}",
            mend=f"format = {FORMAT}",
        )
    return given


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the values of the header, each error placed at its key or value."""

    path: Path
    places: TomlPlaces
    values: Mapping[str, Any]
    names: Names
    instrument: str | None
    read_tune: ReadTune

    def front(self, tune_path: Path | None, number: int | None) -> Front:
        levels.check_prints(self.values, _PRINTED, self.names, self.places, ("", 0))
        for key in _TYPED:
            if key not in self.values:
                raise LessonError(
                    f"{key} is missing", place=Place(self.path.name), rule=_BEFORE, mend=_TYPED[key]
                )
        tune = self._tune(tune_path, number)
        self._at("tune", lambda _: sizes.check_tune(tune))
        own = self._at("instrument", _instrument)
        instrument = own if self.instrument is None else _instrument(self.instrument)
        chord = self._at("chord", Chord.parse)
        scale, scale_shape = self._scale(instrument)
        knows = self._class_file()
        return Front(
            path=self.path,
            title=self.values["title"],
            subtitle=self.values.get("subtitle", ""),
            group=self.values.get("class", ""),
            sheet=self.values.get("number_in_course", ""),
            tune=tune,
            instrument=instrument,
            also=self._named("other_instruments", _one_instrument, MOST_INSTRUMENTS),
            shape=self._shape("chord_shape", instrument, chord, leading)
            or starts.movable_shape(chord, instrument),
            shape_chord=chord,
            scale=scale,
            scale_shape=scale_shape,
            levels=self._levels(tune, instrument),
            outputs=self._named("outputs", _one_of((*OUTPUTS, PARTS))) or OUTPUTS,
            variants=self._named("handout_variants", keys.one_variant),
            playalong=self._playalong(),
            paper=self._paper(),
            rights=self.values.get("rights", ""),
            language=self._language(),
            minutes=self._minutes(knows),
            plan=self._word("plan", PLANS[0]),
            numerals=self._word("numerals", YES_NO[0]) == YES_NO[1],
            knows=knows,
            idea=self._at("idea", self._idea) if "idea" in self.values else "",
        )

    def _idea(self, name: str) -> str:
        """Return the name of an idea that can be read."""
        idea.read_idea(name, self.path.parent)
        return name

    def _scale(self, instrument: Instrument) -> tuple[SixthDiminished | None, Voicing | None]:
        """Return the scale with its first shape, where the lesson has one."""
        if "scale" not in self.values:
            if "scale_shape" in self.values:
                place = self._within("scale_shape", 0)
                raise LessonError(
                    f"{self.names.written('scale_shape')} without scale",
                    place=place,
                    mend='scale = "C major"',
                )
            return None, None
        scale: SixthDiminished = self._at("scale", _scale)
        shape = self._shape("scale_shape", instrument, scale.chord, whole)
        return scale, shape or starts.climbing_shape(scale, instrument)

    def _shape(
        self,
        key: str,
        instrument: Instrument,
        chord: Chord,
        gate: Callable[[Voicing, Chord], Shown],
    ) -> Voicing | None:
        """Return a shape that the file names for its own instrument; it sounds its chord."""
        other = self.instrument is not None and instrument != _instrument(self.values["instrument"])
        if other or key not in self.values:
            return None
        shown: Shown = self._at(key, lambda text: gate(Voicing.parse(text, instrument), chord))
        return shown.shape

    def _named(self, key: str, read: Any, most: int = 99) -> tuple[str, ...]:
        """Return a list of names, each of them known."""
        names = self.values.get(key, [])
        place = self.places.key(("", 0, self.names.written(key)))
        if len(names) > most:
            raise LessonError(
                f"{self.names.written(key)} has {len(names)} entries",
                place=place,
                rule=f"{most} at most",
            )
        try:
            return tuple(dict.fromkeys(read(name) for name in names))
        except HarmonyError as error:
            raise error.at(place) from None

    def _at(self, key: str, read: Any) -> Any:
        """Read a value, and place what is wrong with it inside the file."""
        try:
            return read(self.values[key])
        except HarmonyError as error:
            raise error.at(self._within(key, error.column - 1)) from None

    def _within(self, key: str, offset: int) -> Place:
        return self.places.within(("", 0, self.names.written(key)), offset)

    def _tune(self, tune_path: Path | None, number: int | None) -> Tune:
        """Return the tune, in the key that the lesson names, with its intro and ending."""
        tune = self._written(tune_path, number)
        moved: Tune = self._at("key", tune.transpose_to) if "key" in self.values else tune
        frame = (self._word(key, "") if key in self.values else "" for key in ("intro", "ending"))
        return framed(moved, *frame)

    def _written(self, tune_path: Path | None, number: int | None) -> Tune:
        if tune_path is not None:
            return self.read_tune(tune_path, number)
        name, number = self.values["tune"], number or self.values.get("tune_number")
        beside = self.path.parent / name
        try:
            found = beside if beside.is_file() else find_data("tunes", name)
            return self.read_tune(found, number)
        except HarmonyError as error:
            raise error if error.place else error.at(self._within("tune", 0)) from None

    def _playalong(self) -> takes.PlayAlong:
        try:
            return takes.PlayAlong.of(self.values.get("sound", {}))
        except HarmonyError as error:
            raise error.at(self.places.key(("sound", 0, ""))) from None

    def _class_file(self) -> ClassFile | None:
        """Return what the class knows; an error of its file keeps its place there."""
        name = self.values.get("class_file")
        if name is None:
            return None
        path = self.path.parent / name
        if not path.is_file() and name in shipped("classes"):
            path = find_data("classes", name)
        if not path.is_file():
            raise LessonError(
                f"class_file = {name!r}: not found in the folder of {self.path.name}",
                place=self._within("class_file", 0),
                mend="harmonykit parts --example prints one",
            )
        return read_class(path)

    def _minutes(self, knows: ClassFile | None) -> int:
        minutes = self.values.get("minutes", knows.minutes if knows else MINUTES)
        if not SHORTEST <= minutes <= LONGEST:
            rule = f"{SHORTEST} to {LONGEST} minutes"
            said = f"minutes is {minutes}"
            raise LessonError(said, place=self.places.key(("", 0, "minutes")), rule=rule)
        return int(minutes)

    def _word(self, key: str, otherwise: str) -> str:
        """Return the word of a key that is one of a few."""
        word = self.values.get(key, otherwise)
        return key_named(HEADER, key).check(word, self.places.key(("", 0, key)))

    def _paper(self) -> str:
        paper = str(self.values.get("paper", PAPERS[0])).lower()
        if paper not in PAPERS:
            place = self.places.key(("", 0, "paper"))
            raise LessonError(
                f"{paper!r} is not a paper size",
                place=place,
                mend=" or ".join(f'paper = "{each}"' for each in PAPERS),
            )
        return paper

    def _language(self) -> str:
        language = str(self.values.get("language", "en"))
        if not _LANGUAGE.fullmatch(language):
            place = self.places.key(("", 0, "language"))
            rule = "a tag such as en or pt-BR (BCP 47)"
            raise LessonError(
                f"{language!r} is not a language", place=place, rule=rule, mend='language = "en"'
            )
        return language

    def _levels(self, tune: Tune, instrument: Instrument) -> tuple[Level, ...]:
        tables = self.values["levels"]
        if not 1 <= len(tables) <= MOST_LEVELS or not all(isinstance(t, dict) for t in tables):
            place = self.places.key(("", 0, "levels"))
            found = counted(len(tables), "level")
            rule = f"1 to {MOST_LEVELS} [[levels]] tables"
            raise LessonError(found, place=place, rule=rule)
        return tuple(
            levels.LevelReader(
                self.places, index, table, tune, instrument, self.names.format, self.path.parent
            ).level()
            for index, table in enumerate(tables)
        )


def _instrument(text: str) -> Instrument:
    try:
        return Instrument.named(text)
    except HarmonyError:
        if any(letter.isdigit() for letter in text):
            return Instrument.parse(text)
        raise


def _one_instrument(name: Any) -> str:
    return _instrument(str(name)).name


def _one_of(known: tuple[str, ...]) -> Any:
    """Return a function that takes names that are known and refuses others."""

    def read(name: Any) -> str:
        if name not in known:
            raise LessonError(f"{name!r} is not known here", mend=", ".join(map(repr, known)))
        return str(name)

    return read


def _scale(text: str) -> SixthDiminished:
    tonic, _, kind = text.strip().partition(" ")
    if kind.strip() not in KINDS:
        raise HarmonyError(
            f"{text!r} is not a sixth-diminished scale",
            rule="a tonic, then " + ", ".join(KINDS),
            mend='scale = "C major"',
        )
    return SixthDiminished(tonic, kind.strip())
