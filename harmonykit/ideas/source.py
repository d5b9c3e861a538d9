"""What ideas are sought about: a chord, a kind of chord, a scale, a set, a shape.

A kind alone (``"dim7"``, ``"6"``) is taken on the root on which the instrument plays it lowest, a
scale without a tonic (``"dorian"``) on C.
"""

import re

from harmonykit.errors import HarmonyError, attempt, need_text
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.ideas.laws import KINDS
from harmonykit.theory import modes, naming, note, spelling
from harmonykit.theory.chord import BY_SUFFIX, Chord, PcSet
from harmonykit.theory.given import as_pcset, chord_in
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.scale import SixthDiminished
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted

_FRETS = re.compile(r"[0-9xX](?:[0-9xX]{2,}|(?:-[0-9xX]{1,2}){2,})")
_SET = re.compile(r"[\[{(]?\s*\d{1,2}(?:[\s,]+\d{1,2})+\s*[\]})]?")
_SHORT = {"half whole": "octatonic half-whole", "whole half": "octatonic whole-half"}
_MEND = '"Bdim7", "dim7", "C whole tone", "0 1 4 6" or "2-3-2-3"'


@dataclass(frozen=True, slots=True)
class Source:
    """What ideas are sought about.

    Parameters
    ----------
    name : str
        As printed.
    pcs : PcSet
    chord : Chord or None
        ``None`` where the notes are those of no usual chord.
    scale : Ladder or None
    voicing : Voicing or None
        Where a shape was given.
    """

    name: str
    pcs: PcSet
    chord: Chord | None = None
    scale: Ladder | None = None
    voicing: Voicing | None = None

    def spell(self, pitch_class: int) -> note.Note:
        """Return the name of a pitch class beside the source."""
        if self.chord is not None:
            return self.chord.spell(pitch_class)
        if self.scale is not None and pitch_class in self.pcs:
            return self.scale.spell(pitch_class)
        return spelling.usual_root(pitch_class)

    def sign(self, pitch_class: int) -> str:
        """Return that name as it is printed."""
        return self.spell(pitch_class).unicode


def as_source(given: object, neck: Instrument | None) -> Source:
    """Return what ideas are sought about, however it was handed in.

    Raises
    ------
    HarmonyError
        If it cannot be read, or has fewer than two notes or all twelve.

    Examples
    --------
    >>> as_source("C+", None).name, as_source("whole tone", None).name
    ('C+', 'C whole tone')
    """
    found = _read(given, neck)
    if 2 <= len(found.pcs) < 12:
        return found
    raise HarmonyError(
        f"{found.name} has {counted(len(found.pcs), 'note')}",
        rule="2 to 11 different notes",
        mend=_MEND,
    )


def _read(given: object, neck: Instrument | None) -> Source:
    if isinstance(given, Voicing):
        return _of_shape(given)
    if isinstance(given, Ladder):
        return Source(_title(given), given.pcs, scale=given)
    if (chord := chord_in(given)) is not None:
        return Source(chord.unicode, chord.pcs, chord)
    if isinstance(given, PcSet):
        return _of_set(given)
    return _typed(need_text(given, "a chord, a scale, notes or a shape", _MEND).strip(), neck)


def _typed(text: str, neck: Instrument | None) -> Source:
    plain = text.lower().replace("-", " ").removesuffix(" scale")
    if _SET.fullmatch(text):
        return _of_set(as_pcset([int(number) for number in re.findall(r"\d+", text)]))
    if _FRETS.fullmatch(text) and text not in BY_SUFFIX:
        if neck is None:
            raise HarmonyError(f"{text} is a shape", rule="a shape needs an instrument", mend=_MEND)
        return _of_shape(Voicing.parse(text, neck))
    if (kind := _kind(text)) is not None:
        return _of_kind(kind, neck)
    if (scale := attempt(modes.Scale.parse, f"C {_SHORT.get(plain, plain)}")) and plain:
        return _read(scale, neck)
    for read in (modes.Scale.parse, SixthDiminished.parse) if " " in text else ():
        try:
            return _read(read(text), neck)
        except HarmonyError:
            continue
    if text[:1] not in tuple("ABCDEFGH"):
        said = f"{text!r} is not" if text else "nothing is named:"
        raise HarmonyError(
            f"{said} a chord, a kind of chord, a scale, notes or a shape", mend=_MEND
        )
    return _read(Chord.parse(text), neck)


def _kind(text: str) -> str | None:
    """Return the kind of chord that a text without a root names: ``"dim7"``, ``"aug"``, in words.

    Examples
    --------
    >>> _kind("aug"), _kind("Diminished sevenths"), _kind("half-diminished"), _kind("C+")
    ('+', 'dim7', 'm7b5', None)
    """
    if text in BY_SUFFIX and text not in ("", "5"):
        return text
    plain = " ".join(text.lower().replace("-", " ").split())
    for suffix, names in KINDS.items():
        called = [name.replace("-", " ") for name in names]
        if plain in called or plain and f"{plain} seventh" == called[0] and "half" in plain:
            return suffix
    if not plain or text[0] in "ABCDEFG" or not (text[0].isalpha() or text[0] in "+°øΔ"):
        return None
    chord = attempt(Chord.parse, f"C{text}")
    return chord.quality if chord else None


def _of_set(pcs: PcSet) -> Source:
    names = naming.exact_names(pcs)
    if names:
        return Source(names[0].unicode, pcs, names[0])
    return Source(" ".join(spelling.usual_root(pc).unicode for pc in pcs), pcs)


def _of_shape(shape: Voicing) -> Source:
    names = naming.exact_names(shape.pcs) or tuple(
        name.chord for name in naming.name_chords(shape.pcs)[:1] if name.complete
    )
    chord = names[0] if names else None
    called = f"{shape.digits} ({chord.unicode})" if chord else shape.digits
    return Source(called, shape.pcs, chord, voicing=shape)


def _of_kind(suffix: str, neck: Instrument | None) -> Source:
    """Return a chord of a kind on the root on which its usual shape lies lowest."""
    chord = Chord.of("C", suffix)
    if neck is not None:
        shapes = find_voicings(chord, neck)
        if shapes:
            lowest = min(shapes, key=lambda shape: (shape.highest_fret, shape.digits))
            down = max(0, lowest.lowest_fret - 1) if 0 not in lowest.frets else 0
            chord = Chord.of(spelling.usual_root(-down % 12), suffix)
    return Source(chord.unicode, chord.pcs, chord)


def _title(scale: Ladder) -> str:
    return str(scale)
