"""Strings, boxes and small percussion as numbers: one table for what is rendered and for pages.

Conventions.  Hz, metres, newtons, kg, seconds.  ``strings.toml`` beside this file is the table with
its sources; it tells a string by its material, and how thick it is follows from its pitch, its
length and the tension that is usual on an instrument of its family.

References
----------
H. Fletcher, "Normal Vibration Frequencies of a Stiff Piano String", Journal of the Acoustical
Society of America 36/1 (1964) 203-209: stiffness.
J. Woodhouse, "Plucked Guitar Transients: Comparison of Measurements and Synthesis", Acta Acustica
united with Acustica 90/5 (2004) 945-965: losses, and strings on a box.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from harmonykit.files.toml import read_toml_file
from harmonykit.fretboard.strings.neck import Neck
from harmonykit.values import asdict, dataclass

_TABLE = Path(__file__).with_name("strings.toml")
_A4, _A4_MIDI = 440.0, 69
_SIZE_SLOPE = 0.7
# Of whom no instrument is known: panels, and melodies by themselves.
_USUAL = ((67, 60, 64, 69), (), (0.381,) * 4, 381.0, "ukulele", "nylon", "ukulele")

Pairs = tuple[tuple[int, ...], ...]
Stringed = tuple[tuple[int, ...], Pairs, tuple[float, ...], float, str, str, str]


def frequency(midi: float) -> float:
    """Return the frequency of a MIDI pitch in Hz, at A4 = 440 Hz (ISO 16:1975).

    Examples
    --------
    >>> frequency(69), round(frequency(60), 3)
    (440.0, 261.626)
    """
    return float(_A4 * 2 ** ((midi - _A4_MIDI) / 12))


@dataclass(frozen=True, slots=True)
class Strand:
    """One string of an instrument, open.

    Parameters
    ----------
    hz, length, tension : float
    stiffness : float
        Modulus times second moment of area, in N m2.
    losses : tuple of float
        In the string, in the air (per second), in bending (Woodhouse 2004).
    pan : float
        Where it is heard: -1 left, 1 right.
    pairs : tuple of float
        How many times higher each string beside it is that is plucked with it.
    """

    hz: float
    length: float
    tension: float
    stiffness: float
    losses: tuple[float, float, float]
    pan: float = 0.0
    pairs: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Voice:
    """Strings on a box, and how they are plucked.

    Parameters
    ----------
    strands : tuple of Strand
        In the instrument's order.
    modes : tuple of tuple of float
        Of the box: Hz, sharpness, moving mass in kg, how much is radiated.
    plate : float
        How fast the rest of the box moves for each newton, in m/s.
    place : float
        How far from the bridge a string is plucked, in metres.
    softness_hz : float
        Above this a pluck of middle strength grows weaker.
    noise_hz, noise : float
        Where the finger's noise lies, and how loud it is beside the string.
    across, coupled : float
        How much of a pluck moves across the top, and how well that is coupled to it.
    level, pan : float
    """

    strands: tuple[Strand, ...]
    modes: tuple[tuple[float, float, float, float], ...]
    plate: float
    place: float
    softness_hz: float
    noise_hz: float
    noise: float
    across: float
    coupled: float
    level: float
    pan: float

    def strand_of(self, string: int | None, midi: int) -> Strand:
        """Return the string that sounds a pitch: the one of a number, else the highest below it."""
        if string is not None and string < len(self.strands):
            return self.strands[string]
        hz = frequency(midi) * 1.0001
        below = [strand for strand in self.strands if strand.hz <= hz]
        return max(below, key=_hz_of) if below else min(self.strands, key=_hz_of)


def _hz_of(strand: Strand) -> float:
    return strand.hz


@dataclass(frozen=True, slots=True)
class Drum:
    """One sound of small percussion.

    Parameters
    ----------
    noise : tuple of float
        The middle of its band and its width in Hz, seconds to rise and to fall by 1/e, size.
    tones : tuple of tuple of float
        Each with its Hz, seconds to fall by 1/e, and size.
    level, pan : float
    """

    noise: tuple[float, ...]
    tones: tuple[tuple[float, ...], ...]
    level: float
    pan: float


@lru_cache(maxsize=1)
def table() -> dict[str, Any]:
    """Return the whole of ``strings.toml``."""
    return read_toml_file(_TABLE, "the table of strings")[0]


def voices(instrument: Neck | None = None) -> dict[str, Voice]:
    """Return what sounds on an instrument by the kind of event: tone, melody and bass.

    Examples
    --------
    >>> voice = voices(hk.Instrument.named("ukulele"))["tone"]
    >>> [round(strand.hz, 1) for strand in voice.strands]
    [392.0, 261.6, 329.6, 440.0]
    """
    if instrument is None:
        return _voices(_USUAL)
    pairs = tuple(
        tuple(other.midi - note.midi for other in beside)
        for note, beside in zip(instrument.strings, instrument.doubles, strict=False)
    )
    lengths = tuple(
        instrument.scale_mm / 1000 * 2 ** (-start / 12) for start in instrument.first_frets
    )
    whole_mm = instrument.scale_mm * 2 ** (instrument.capo / 12)
    return _voices(
        (
            instrument.midi,
            pairs,
            lengths,
            whole_mm,
            instrument.family,
            instrument.material,
            body_of(instrument),
        )
    )


def body_of(instrument: Neck) -> str:
    """Return what the strings of an instrument are on: its family's box, or a skin.

    Examples
    --------
    >>> body_of(hk.Instrument.named("tenor ukulele")), body_of(hk.Instrument.named("banjo"))
    ('ukulele', 'skin')
    """
    words = instrument.name.lower().split()
    others = table()["body_of"]
    return next((body for word, body in others.items() if word in words), instrument.family)


@lru_cache(maxsize=32)
def _voices(strung: Stringed) -> dict[str, Voice]:
    midi, pairs, lengths, whole_mm, family, material, body_name = strung
    made, pluck = table()["material"][material], table()["pluck"]
    spread = pluck["spread"]
    strands = tuple(
        _strand(
            frequency(pitch),
            lengths[index],
            (made, made["tension"][family]),
            spread * (2 * index / max(len(midi) - 1, 1) - 1),
            tuple(pluck["second_hz"] * 2 ** (step / 12) for step in _beside(pairs, index)),
        )
        for index, pitch in enumerate(midi)
    )
    body = table()["body"][body_name]
    shared: dict[str, Any] = {
        "strands": strands,
        "modes": _modes(body, whole_mm),
        "plate": body["plate"],
        "place": pluck["place"] * whole_mm / 1000,
        **{key: made[key] for key in ("softness_hz", "noise_hz", "noise")},
        **{key: pluck[key] for key in ("across", "coupled")},
    }
    own = {kind: Voice(**shared, **table()["voice"][kind]) for kind in ("tone", "melody")}
    return {**own, "bass": _bass()}


def _beside(pairs: Sequence[tuple[int, ...]], index: int) -> tuple[int, ...]:
    return pairs[index] if index < len(pairs) else ()


def _strand(
    hz: float,
    length: float,
    made: tuple[dict[str, Any], float],
    pan: float,
    pairs: tuple[float, ...],
) -> Strand:
    """Return a string of some material at the tension that is usual, as thick as its pitch asks."""
    material, tension = made
    mass = tension / (2 * length * hz) ** 2
    thick = math.sqrt(4 * mass / (math.pi * material["density"]))
    if thick * 1000 > material["plain_mm"]:
        stiffness, losses = material["wound_stiffness"], material["wound_losses"]
    else:
        stress = tension / (math.pi * thick**2 / 4)
        modulus = material["modulus"] + material["stressed"] * stress
        stiffness, losses = modulus * math.pi * thick**4 / 64, material["losses"]
    air = losses[0], losses[1], losses[2]
    return Strand(hz, length, tension, stiffness, air, pan, pairs)


def _modes(body: dict[str, Any], scale_mm: float) -> tuple[tuple[float, float, float, float], ...]:
    lower = (body.get("scale_mm", scale_mm) / scale_mm) ** _SIZE_SLOPE
    return tuple((hz * lower, q, kg / lower, gain) for hz, q, kg, gain in body["modes"])


def _bass() -> Voice:
    bass, pluck = table()["voice"]["bass"], table()["pluck"]
    long, losses = bass["scale_mm"] / 1000, bass["losses"]
    air = losses[0], losses[1], losses[2]
    strands = tuple(
        Strand(hz, long, bass["tension"], bass["stiffness"], air) for hz in bass["strings_hz"]
    )
    touch = {key: bass[key] for key in ("softness_hz", "noise_hz", "noise", "level", "pan")}
    body = table()["body"]["guitar"]
    return Voice(
        strands=strands,
        modes=_modes(body, bass["scale_mm"]),
        plate=body["plate"],
        place=bass["place"] * long,
        across=pluck["across"],
        coupled=pluck["coupled"],
        **touch,
    )


@lru_cache(maxsize=16)
def drum(midi: int) -> Drum:
    """Return the small percussion of a number of General MIDI; a stick for what is not known."""
    known = table()["drum"]
    made = known.get(str(midi), known["37"])
    tones = tuple(tuple(tone) for tone in made["tones"])
    return Drum(tuple(made["noise"]), tones, made["level"], made["pan"])


def numbers(instrument: Neck | None = None) -> dict[str, Any]:
    """Return all that an instrument sounds of, for a script that sounds it by itself.

    Returns
    -------
    dict
        ``voices`` by the kind of event, ``drums`` by number, ``click``, ``room`` and ``pluck``.

    Examples
    --------
    >>> made = hk.sound.strung.numbers(hk.Instrument.named("guitar"))
    >>> sorted(made), len(made["voices"]["tone"]["strands"])
    (['click', 'drums', 'pluck', 'room', 'voices'], 6)
    """
    found = {kind: _rounded(asdict(voice)) for kind, voice in voices(instrument).items()}
    drums = {number: asdict(drum(int(number))) for number in table()["drum"]}
    shared = {key: table()[key] for key in ("click", "pluck", "room")}
    return {"voices": found, "drums": drums, **shared}


def _rounded(given: Any) -> Any:
    """Return numbers with seven digits: a page is read by people, too."""
    if isinstance(given, float):
        return float(f"{given:.7g}")
    if isinstance(given, dict):
        return {key: _rounded(value) for key, value in given.items()}
    return [_rounded(one) for one in given] if isinstance(given, list | tuple) else given
