"""How loud a performance will be, from what its notes are made of: nothing is rendered.

A page sounds a level by itself and cannot hear all of it beforehand; so it is told the gain that a
file of the level would have.  Each note brings the energy of its modes, weighted as the ear hears
them, into the tenths of a second in which it rings; loudness follows from these as in ``loudness``.

Conventions.  Notes add up by their energy, as sounds do that have nothing to do with each other.

References
----------
ITU-R BS.1770-5, International Telecommunication Union, Geneva 2023, annex 1: weighting, gates.
"""

import math
from functools import lru_cache

import numpy as np

from harmonykit.sound import mixing, noise, pluck, strung
from harmonykit.sound.loudness import HOPS_A_SECOND, TARGET_OF_TWO, gated, weight_at
from harmonykit.sound.performance import BASS, TONE, Performance

# What the room adds and bending takes of the peaks, in dB: the mean of the levels that ship.
_MORE = -0.16


def expected_gain(performance: Performance) -> float:
    """Return how many dB set a performance to the loudness of our files, as it is expected.

    Parameters
    ----------
    performance : Performance

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> 0 < expected_gain(hk.sound.play(plain)) < 12
    True
    """
    hops = np.zeros(int(performance.seconds * HOPS_A_SECOND) + 1)
    rung: dict[tuple[str, int | None, int, int], noise.Samples] = {}
    for event in performance.events:
        if event.kind not in (TONE, BASS):
            continue
        first = int(event.onset * HOPS_A_SECOND)
        count = min(max(math.ceil(event.length * HOPS_A_SECOND), 1), len(hops) - first)
        plucked = event.kind, event.string, event.midi, pluck.layer_of(event.velocity)
        if plucked not in rung:
            voice, string = mixing.voiced(event, performance.instrument)
            rung[plucked] = _rung(voice, string, *plucked[2:])
        energy = rung[plucked][:count]
        hops[first : first + len(energy)] += energy * (event.velocity / 127) ** 3
    loudness = gated(hops * HOPS_A_SECOND)
    return 0.0 if math.isinf(loudness) else TARGET_OF_TWO - loudness + _MORE


@lru_cache(maxsize=256)
def _rung(voice: strung.Voice, string: int | None, midi: int, layer: int) -> noise.Samples:
    """Return the weighted energy of a note in each tenth of a second, struck as hard as can be."""
    made = strung.table()["pluck"]
    found = pluck.modes(voice, voice.strand_of(string, midi), midi, made["hardness"][layer])
    falls, sizes = -2 * found.poles.real, np.abs(found.sizes) ** 2 / 2
    sized = made["sized"]
    mean = float((sizes * -np.expm1(-falls * sized) / falls).sum() / sized)
    time = np.arange(made["longest"] * HOPS_A_SECOND + 1) / HOPS_A_SECOND
    weighted = sizes * weight_at(found.poles.imag / (2 * np.pi)) ** 2
    rung = (weighted / falls) @ -np.expm1(-np.outer(falls, time))
    energies: noise.Samples = np.diff(rung) * (made["size"] * voice.level) ** 2 / mean
    return energies
