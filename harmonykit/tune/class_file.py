"""The class file: what a class is called, plays and knows, how long it meets, how high it sings.

The form, whole::

    format = 1
    name = "Thursday ukuleles"
    instruments = ["ukulele"]      # names, or open strings: "G4 C4 E4 A4"
    minutes = 45                   # of one lesson; 45 where left out
    voices = "A3 to C5"            # what the class sings with ease; this where left out

    [grips]                        # what the class knows, by instrument: a chord and its frets
    ukulele = ["C 0003", "F 2010", "Bb 3211"]

A grip without an open string is movable: whoever knows it knows it at every fret.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError, Place, need_path
from harmonykit.files import toml, toml_places
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.grips import Grip, Kin, grip_form, nearest_grip, read_grip
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.theory.note import Note
from harmonykit.theory.typed import Told
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

FORMAT = 1
MINUTES, SHORTEST, LONGEST = 45, 20, 180
VOICES = "A3 to C5"
"""What a mixed class sings with ease, where its file does not say (common practice, no source)."""

MOST_GRIPS = 200
_KEYS = {
    "format": int, "name": str, "instruments": list, "minutes": int, "voices": str, "grips": dict,
}  # fmt: skip
# How each is typed.
_TYPED = {
    "format": f"format = {FORMAT}", "name": 'name = "Thursday ukuleles"',
    "instruments": 'instruments = ["ukulele"]', "minutes": f"minutes = {MINUTES}",
    "voices": f'voices = "{VOICES}"', "grips": '[grips] on a line, below it ukulele = ["C 0003"]',
}  # fmt: skip
_WORDS = {int: "a whole number", str: "text in quotes", list: "a list", dict: "a table [grips]"}
EXAMPLE = """\
format = 1
name = "Thursday ukuleles"
instruments = ["ukulele"]      # names, or open strings: "G4 C4 E4 A4"
minutes = 45                   # of one lesson
voices = "A3 to C5"            # what the class sings with ease

[grips]                        # what the class knows: a chord, then its frets
ukulele = ["C 0003", "F 2010", "G7 0212", "Am 2000", "Bb 3211"]
"""
"""A class file as one types it."""

_STARTS = 'format = 1, name = "My class", instruments = ["ukulele"]'


@dataclass(frozen=True, slots=True, repr=False)
class ClassFile(Told):
    """A class as its file has it.

    Parameters
    ----------
    name : str
    instruments : tuple of Instrument
    grips : tuple of Grip
        What it knows, on any of its instruments, in the order of the file.
    minutes : int
        The length of one lesson, 20 to 180.
    lowest, highest : Note
        What the class sings with ease.

    Examples
    --------
    >>> hk.tune.ClassFile.of("Ours", "ukulele", "C 0003", "F 2010")
    <Ours: 2 grips, 45 minutes>
    """

    name: str
    instruments: tuple[Instrument, ...]
    grips: tuple[Grip, ...] = ()
    minutes: int = MINUTES
    lowest: Note = Note.parse("A3")
    highest: Note = Note.parse("C5")

    @classmethod
    def of(cls, name: str, instrument: InstrumentLike, *grips: str) -> ClassFile:
        """Return a class that plays one instrument, with its grips as a class file has them.

        Parameters
        ----------
        name : str
        instrument : Instrument or str
        *grips : str
            Each a chord, then its frets.

        Returns
        -------
        ClassFile

        Examples
        --------
        >>> hk.tune.ClassFile.of("Ours", "ukulele", "C 0003").minutes
        45
        """
        neck = as_instrument(instrument)
        return cls(name, (neck,), tuple(read_grip(text, neck) for text in grips))

    def grips_on(self, instrument: InstrumentLike) -> tuple[Grip, ...]:
        """Return what the class knows on an instrument, tuned to these letters.

        A string an octave higher or lower, as the fourth of a ukulele, takes the same fingers.

        Parameters
        ----------
        instrument : Instrument or str

        Returns
        -------
        tuple of Grip

        Examples
        --------
        >>> ours = hk.tune.ClassFile.of("Ours", "ukulele", "C 0003")
        >>> [len(ours.grips_on(name)) for name in ("tenor ukulele", "low g tenor", "guitar")]
        [1, 1, 0]
        """
        neck = as_instrument(instrument)
        return tuple(moved for g in self.grips if (moved := _on(g, neck)) is not None)

    def knows(self, shape: Voicing) -> bool:
        """Whether the class knows a shape, as it stands or, without open strings, at another fret.

        Parameters
        ----------
        shape : Voicing

        Returns
        -------
        bool

        Examples
        --------
        >>> ours = hk.tune.ClassFile.of("Ours", "ukulele", "F#dim7 2323")
        >>> [ours.knows(hk.Voicing.parse(frets)) for frets in ("4545", "0101")]
        [True, False]
        """
        form = grip_form(shape)
        return any(form == grip_form(grip.shape) for grip in self.grips_on(shape.instrument))

    def new(self, shapes: Iterable[Voicing]) -> tuple[Voicing, ...]:
        """Return the shapes that are new to this class, each form once, in the order given.

        Parameters
        ----------
        shapes : iterable of Voicing

        Returns
        -------
        tuple of Voicing

        Examples
        --------
        >>> ours = hk.tune.ClassFile.of("Ours", "ukulele", "C 0003")
        >>> [each.digits for each in ours.new(map(hk.Voicing.parse, ("0003", "2225", "3336")))]
        ['2-2-2-5']
        """
        found: dict[Fretting, Voicing] = {}
        for shape in shapes:
            if not self.knows(shape):
                found.setdefault(grip_form(shape), shape)
        return tuple(found.values())

    def nearest(self, shape: Voicing) -> Kin | None:
        """Return the known grip from which a shape differs by the fewest fingers, or None.

        Of several the one whose hand moves least; a movable grip may stand at any fret.

        Parameters
        ----------
        shape : Voicing
            One that four fingers can hold.

        Returns
        -------
        Kin or None

        Examples
        --------
        >>> ours = hk.tune.ClassFile.of("Ours", "ukulele", "F 2010")
        >>> ours.nearest(hk.Voicing.parse("2013"))
        <your F (2-0-1-0), third finger is added>
        """
        return nearest_grip(shape, self.grips_on(shape.instrument))

    def __str__(self) -> str:
        return f"{self.name}: {counted(len(self.grips), 'grip')}, {self.minutes} minutes"


def _on(grip: Grip, neck: Instrument) -> Grip | None:
    """Return a grip on an instrument whose strings have the letters of its own, or ``None``."""
    own = grip.shape.instrument
    if own.midi == neck.midi:
        return grip
    alike = [pitch % 12 for pitch in own.midi] == [pitch % 12 for pitch in neck.midi]
    fits = alike and grip.shape.highest_fret <= neck.frets
    return replace(grip, shape=Voicing(neck, grip.shape.frets)) if fits else None


def read_class(path: str | Path) -> ClassFile:
    """Read a class file.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    ClassFile

    Raises
    ------
    HarmonyError
        With file, line and column: a key that is unknown, a grip that does not sound its chord.

    Examples
    --------
    >>> hk.tune.read_class("nowhere.toml")
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: missing file 'nowhere.toml'
      try: ...
    """
    file = need_path(path, "a class file")
    values, places = toml.read_toml_file(file, "the class file")
    return _Reader(values, places).read()


def parse_voices(text: str) -> tuple[Note, Note]:
    """Return the lowest and the highest note of ``"A3 to C5"``.

    Parameters
    ----------
    text : str

    Raises
    ------
    HarmonyError
        If they are not two notes with their octaves, the lower one first.

    Examples
    --------
    >>> [str(note) for note in parse_voices("G3 to D5")]
    ['G3', 'D5']
    """
    low, _, high = text.partition(" to ")
    try:
        lowest, highest = Note.parse(low.strip()), Note.parse(high.strip())
        right = lowest.midi < highest.midi
    except HarmonyError:
        right = False
    if not right:
        raise HarmonyError(
            f"voices {text!r} cannot be read",
            rule="two notes with their octaves, the lower one first",
            mend=f'voices = "{VOICES}"',
        )
    return lowest, highest


@dataclass(frozen=True, slots=True)
class _Reader:
    values: dict[str, Any]
    places: toml_places.TomlPlaces

    def read(self) -> ClassFile:
        self._check_keys()
        for key in ("format", "name", "instruments"):
            if key not in self.values:
                place = Place(self.places.name)
                raise HarmonyError(f"{key} is missing", place=place, mend=_STARTS)
        if self.values["format"] != FORMAT:
            raise self._wrong("format", f"this version reads format = {FORMAT}")
        toml.check_line(self.values["name"], "name", self._at("name"), HarmonyError, needed=True)
        minutes = self.values.get("minutes", MINUTES)
        if not SHORTEST <= minutes <= LONGEST:
            raise self._wrong("minutes", f"{SHORTEST} to {LONGEST} minutes")
        lowest, highest = self._read(("", 0, "voices"), 0, parse_voices, VOICES)
        instruments = self._instruments()
        grips = self._grips(instruments)
        return ClassFile(self.values["name"], instruments, grips, minutes, lowest, highest)

    def _at(self, key: str) -> Place:
        return self.places.key(("", 0, key))

    def _wrong(self, key: str, rule: str) -> HarmonyError:
        what = f"{key} is {self.values[key]!r}"
        return HarmonyError(what, place=self._at(key), rule=rule, mend=_TYPED[key])

    def _check_keys(self) -> None:
        for key, value in self.values.items():
            if key not in _KEYS:
                near = difflib.get_close_matches(key, _KEYS, 1) or [", ".join(_KEYS)]
                raise HarmonyError(f"unknown key {key!r}", place=self._at(key), mend=near[0])
            if not isinstance(value, _KEYS[key]) or isinstance(value, bool):
                raise self._wrong(key, _WORDS[_KEYS[key]])

    def _read(self, address: toml_places.Address, item: int, read: Any, otherwise: str = "") -> Any:
        """Read a text; what is wrong with it is placed in the file."""
        key = address[2]
        if otherwise:
            text = self.values.get(key, otherwise)
        else:
            table = self.values[address[0]] if address[0] else self.values
            text = table[key][item]
        try:
            if not isinstance(text, str):
                raise HarmonyError(f"{text!r} is not text in quotes")
            return read(text)
        except HarmonyError as error:
            raise error.at(self.places.within(address, 0, item)) from None

    def _instruments(self) -> tuple[Instrument, ...]:
        named = self.values["instruments"]
        if not named:
            raise self._wrong("instruments", 'at least one, such as "ukulele"')
        address = ("", 0, "instruments")
        return tuple(self._read(address, n, as_instrument) for n in range(len(named)))

    def _grips(self, instruments: tuple[Instrument, ...]) -> tuple[Grip, ...]:
        found: list[Grip] = []
        for key, listed in self.values.get("grips", {}).items():
            address = ("grips", 0, key)
            try:
                instrument = as_instrument(key)
            except HarmonyError as error:
                raise error.at(self.places.key(address)) from None
            if instrument not in instruments:
                names = ", ".join(one.name for one in instruments)
                raise HarmonyError(
                    f"grips on the {instrument.name}, which the class does not play",
                    place=self.places.key(address),
                    rule=f"instruments has {names}",
                )
            if not isinstance(listed, list) or len(listed) > MOST_GRIPS:
                raise HarmonyError(
                    f"the grips on the {instrument.name} cannot be read",
                    place=self.places.key(address),
                    rule=f"a list of at most {MOST_GRIPS} grips in quotes",
                    mend=f'{key} = ["C 0003"]',
                )

            def read(text: str, on: Instrument = instrument) -> Grip:
                return read_grip(text, on)

            found += [self._read(address, n, read) for n in range(len(listed))]
        return tuple(dict.fromkeys(found))
