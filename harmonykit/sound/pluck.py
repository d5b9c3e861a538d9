"""One plucked string, and one click, as samples.

Conventions.  Samples are floats at ``rate`` a second, one channel.  A pluck is the sum of all that
rings after it: the partials of the string, as stiff as it is (Fletcher 1964), each with the losses
of its material and what the box takes from it at that frequency, and the modes of the box, which
the let go string sets off (Woodhouse 2004).  Where it is plucked leaves out the partials that have
no motion there; how hard, what lies high.  A string moves across the top too, which the box hardly
takes: so it falls fast first and slowly then (Weinreich 1977).  A short noise of the finger goes
before.

References
----------
H. Fletcher, "Normal Vibration Frequencies of a Stiff Piano String", Journal of the Acoustical
Society of America 36/1 (1964) 203-209.
G. Weinreich, "Coupled piano strings", ibid. 62/6 (1977) 1474-1484: two stages of decay.
J. Woodhouse, "On the Synthesis of Guitar Plucks", Acta Acustica united with Acustica 90/5 (2004)
928-944, and "Plucked Guitar Transients", ibid. 945-965.
"""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.sound.noise import Samples, band, white
from harmonykit.sound.strung import Strand, Voice, frequency, table
from harmonykit.values import dataclass

Complex = NDArray[np.complex128]

RATE = 44_100
_BLOCK, _FEW = 256, 16
# The first blocks that are worked out together; what is softer than the loudest mode by so much is
# left out, 130 dB.
_STRETCH, _UNHEARD = 12, 3e-7
# OpenBLAS takes one thread for products of up to so many terms.
_ALONE = 1 << 18


@dataclass(frozen=True, slots=True)
class Modes:
    """All that rings in a pluck: the real part of the sum of ``size * exp(pole * seconds)``."""

    poles: Complex
    sizes: Complex


def inharmonicity(strand: Strand, hz: float) -> float:
    """Return B of a string stopped at a pitch: partial n lies at n f sqrt(1 + B n^2).

    Examples
    --------
    >>> from harmonykit.sound.strung import voices
    >>> strand = voices(hk.Instrument.named("guitar"))["tone"].strands[5]
    >>> 1e-5 < inharmonicity(strand, strand.hz) < 1e-4
    True
    """
    length = strand.length * strand.hz / hz
    return math.pi**2 * strand.stiffness / (strand.tension * length**2)


def partials(strand: Strand, hz: float, rate: int = RATE) -> tuple[Samples, Samples]:
    """Return the frequencies of a string's partials, and how fast the string alone loses each.

    The first is at the pitch itself; losses are the nepers a second by which each falls.
    """
    limits, bend = table()["pluck"], inharmonicity(strand, hz)
    most = min(limits["highest_hz"], limits["highest_part"] * rate)
    number = np.arange(1.0, min(limits["partials"], max(int(most / hz), 1)) + 1)
    bent = bend * number**2
    found = hz * number * np.sqrt((1 + bent) / (1 + bend))
    found = found[found < max(most, hz * 1.01)]
    number, bent = number[: len(found)], bent[: len(found)]
    in_string, in_air, in_bending = strand.losses
    turn = 2 * np.pi * found
    lost = (in_string + in_air / turn + bent * in_bending) / (1 + bent)
    return found, turn * lost / 2


def admittance(voice: Voice, hz: Samples) -> Complex:
    """Return how fast a box moves at its bridge for each newton, in m/s."""
    turn = 2 * np.pi * np.asarray(hz, dtype=float)
    found = np.full(len(turn), voice.plate, dtype=complex)
    for mode_hz, sharp, mass, _ in voice.modes:
        mode = 2 * np.pi * mode_hz
        found += 1j * turn / (mass * (mode**2 - turn**2 + 1j * turn * mode / sharp))
    return found


def radiated(voice: Voice, pole: Complex) -> Complex:
    """Return how much of a force that rings at a pole is heard."""
    found = np.zeros(len(pole), dtype=complex)
    for mode_hz, sharp, _, gain in voice.modes:
        mode = 2 * np.pi * mode_hz
        found += gain * pole**2 / (pole**2 + pole * mode / sharp + mode**2)
    return found


def modes(voice: Voice, strand: Strand, midi: int, hard: float, rate: int = RATE) -> Modes:
    """Return all that rings when a string is plucked, and of those beside it.

    Parameters
    ----------
    voice : Voice
    strand : Strand
        The string of the voice that is plucked.
    midi : int
        The pitch at which it is stopped.
    hard : float
        How hard it is plucked, 1 for the middle.
    rate : int
        Samples a second.
    """
    found = [
        _rings(voice, strand, frequency(midi) * pair, hard, rate) for pair in (1, *strand.pairs)
    ]
    return Modes(
        np.concatenate([one.poles for one in found]), np.concatenate([one.sizes for one in found])
    )


def _rings(voice: Voice, strand: Strand, hz: float, hard: float, rate: int) -> Modes:
    found, lost = partials(strand, hz, rate)
    number = np.arange(1, len(found) + 1)
    length = strand.length * strand.hz / hz
    # How the string pulls at the bridge: the comb of the place, and a finger's softness.
    pull = np.sin(np.pi * number * min(voice.place / length, 0.5)) / number
    pull = pull / (1 + (found / (voice.softness_hz * hard)) ** 2)
    # What comes back from the bridge of a wave is a little less than what came.
    moved = admittance(voice, found) * strand.tension / (2 * length * hz)
    taken = -hz * np.log(np.abs((1 - moved) / (1 + moved)))
    side = number <= table()["pluck"]["across_partials"]
    lost = np.concatenate((lost + taken, (lost + voice.coupled * taken)[side]))
    poles = -lost + 2j * np.pi * np.concatenate((found, found[side]))
    pulls = np.concatenate((pull * (1 - voice.across), (pull * voice.across)[side]))
    box, set_off = _box(voice, poles, pulls)
    return Modes(
        np.concatenate((poles, box)), np.concatenate((pulls * radiated(voice, poles), set_off))
    )


def _box(voice: Voice, poles: Complex, pulls: Samples) -> tuple[Complex, Complex]:
    """Return the modes of the box as a string sets them off that is let go from its pull."""
    shape = np.array(voice.modes)
    turn, sharp, gain = 2 * np.pi * shape[:, 0], shape[:, 1], shape[:, 3]
    own = -turn / (2 * sharp) + 1j * turn * np.sqrt(1 - 1 / (4 * sharp**2))
    since = own[:, None] - poles.real
    pulled = (pulls * (since / (since**2 + poles.imag**2) - 1 / own[:, None])).sum(axis=1)
    return own, 2 * gain * own**2 / (2 * own + turn / sharp) * pulled


def ring_seconds(found: Modes) -> float:
    """Return after how many seconds the longest lasting part has fallen by 60 dB."""
    return float(math.log(1000) / np.min(-found.poles.real))


def ringing(found: Modes, count: int, rate: int) -> Samples:
    """Return the first samples of what rings: each mode as long as it can be heard.

    High modes are over soon: what is left of the sum in each stretch of time is worked out alone.
    """
    blocks = -(-count // _BLOCK)
    inner = _powers(found.poles / rate, _BLOCK)
    outer = _powers(found.poles * (_BLOCK / rate), blocks).T * found.sizes
    left = np.concatenate((outer.real, -outer.imag), axis=1).astype(np.float32)
    right = np.concatenate((inner.real, inner.imag)).astype(np.float32)
    sound = np.empty((blocks, _BLOCK), np.float32)
    least = _UNHEARD * float(np.max(np.abs(found.sizes)))
    begun, over = 0, _STRETCH
    while begun < blocks:
        rows = slice(begun, min(over, blocks))
        heard = np.abs(outer[begun]) > least
        both = np.concatenate((heard, heard))
        sound[rows] = _product(left[rows][:, both], right[both])
        begun, over = over, 2 * over
    return sound.ravel()[:count]


def _product(left: Samples, right: Samples) -> Samples:
    """Return a product of matrices, worked out in pieces that take no threads.

    Of several threads each waits for the others longer than it works.
    """
    high = max(_ALONE // right.size, 1)
    whole = len(left) // high * high
    pieces = left[:whole].reshape(-1, high, left.shape[1]) @ right
    return np.concatenate((pieces.reshape(whole, right.shape[1]), left[whole:] @ right))


def _powers(poles: Complex, count: int) -> Complex:
    """Return ``exp(pole * n)`` for n below a count, a row for each pole: of products of few."""
    fine = np.exp(np.outer(poles, np.arange(_FEW)))
    coarse = np.exp(np.outer(poles, np.arange(0, count, _FEW)))
    found: Complex = (coarse[:, :, None] * fine[:, None, :]).reshape(len(poles), -1)
    return found[:, :count]


def layer_of(velocity: int) -> int:
    """Return how hard a stroke of some velocity is: 0 soft, 1 middle, 2 hard.

    Examples
    --------
    >>> [layer_of(velocity) for velocity in (40, 80, 110)]
    [0, 1, 2]
    """
    return sum(velocity >= step for step in table()["pluck"]["harder_from"])


def long_enough(seconds: float) -> int:
    """Return the length in whole seconds of the pluck that a note of some length is taken from.

    Examples
    --------
    >>> [long_enough(seconds) for seconds in (0.4, 1.5, 30.0)]
    [1, 2, 8]
    """
    length = 1
    while length < min(seconds, table()["pluck"]["longest"]):
        length *= 2
    return length


# At most 0.2 MB each for what lasts no longer than a second, and so on.
@lru_cache(maxsize=256)
def pluck(
    voice: Voice,
    string: int | None,
    midi: int,
    layer: int = 1,
    seconds: int = 8,
    rate: int = RATE,
) -> Samples:
    """Return one plucked string, left to ring; the array is read-only.

    Parameters
    ----------
    voice : Voice
    string : int or None
        Its number; where there is none, the string of the voice that has the pitch.
    midi : int
    layer : int
        How hard it is plucked: 0, 1 or 2.
    seconds : int
        No more than this is returned.
    rate : int
        Samples a second.
    """
    made = table()["pluck"]
    strand, hard = voice.strand_of(string, midi), made["hardness"][layer]
    found = modes(voice, strand, midi, hard, rate)
    count, sized = int(min(ring_seconds(found), seconds) * rate), int(made["sized"] * rate)
    sound = ringing(found, max(count, sized), rate)
    sound *= made["size"] / math.sqrt(float(np.mean(sound[:sized].astype(float) ** 2)))
    noise = finger(voice, midi, hard, rate)
    sound[: len(noise)] += noise
    fade = int(made["fade"] * rate)
    sound[-fade:] *= np.linspace(1, 0, fade)
    sound *= voice.level
    # To the 24th bit: what lies below depends on the processor.
    sound = (np.rint(sound * 2**23) / 2**23).astype(np.float32)
    sound.flags.writeable = False
    return sound


def finger(voice: Voice, midi: int, hard: float, rate: int = RATE) -> Samples:
    """Return the noise of a finger or a plectrum on its way over a string."""
    made = table()["pluck"]
    count = int(made["noise_seconds"] * rate)
    through = band(white(count, 1000 + midi), voice.noise_hz * hard**0.5, voice.noise_hz, rate)
    fall = np.exp(-np.arange(count) / (rate * made["noise_fall"]))
    sound: Samples = through * fall * (voice.noise * hard)
    return sound


@lru_cache(maxsize=8)
def click(*, high: bool, rate: int = RATE) -> Samples:
    """Return one click, high or low; the array is read-only."""
    made = table()["click"]
    time = np.arange(int(made["seconds"] * rate)) / rate
    turn = 2 * np.pi * made["high_hz" if high else "low_hz"]
    sound = made["level"] * np.sin(turn * time) * np.exp(-time / made["fall"])
    found: Samples = sound.astype(np.float32)
    found.flags.writeable = False
    return found
