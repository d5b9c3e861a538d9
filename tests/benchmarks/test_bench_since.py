"""What 0.1.0 did is not slower now: the same lines by both versions in turn, in one run.

A worktree of the commit that is 0.1.0 is made for it ("Changes" in DEVELOPERS.md names the commit).
Both versions run in processes of their own, one after the other, the better of several rounds each;
the processor's time counts, so that what else a machine does is left out.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from measured import measured, repeated

ROUNDS = 5
MOST = 1.25
"""Machines differ by a tenth from run to run; what is slower by a quarter is slower."""

READ = "read = getattr(hk, 'read_tune', None) or hk.Tune.read"
WORK = {
    "symbols": (
        "roots = 'C Db D Eb E F F# G Ab A Bb B'.split()",
        "kinds = 'm7b5 7#9 6 maj9 dim7 13 sus4 7b5'.split();"
        "[hk.Chord.parse(root + kind) for root in roots for kind in kinds]",
    ),
    "shapes": (
        "guitar = hk.Instrument.named('guitar')",
        "[hk.find_voicings(hk.Chord.parse(s), guitar) for s in ('Gm6', 'E7b9', 'Bbmaj7', 'Fdim7')]",
    ),
    "distances": (
        "kinds = ('m6', '7', 'dim7');"
        "chords = [hk.Chord.parse(root + kind) for root in 'CDEFGAB' for kind in kinds]",
        "hk.distance_matrix(chords)",
    ),
    "a tune rearranged": (
        f"{READ}; from harmonykit.paths import find_data; "
        "tune = read(find_data('tunes', 'slack_water_waltz'));"
        "ukulele = hk.Instrument.named('ukulele')",
        "hk.reharmonise(tune, ukulele)",
    ),
}
TIMED = """
import time
import harmonykit as hk
{made}
begun = time.process_time()
{work}
print(time.process_time() - begun)
"""


def seconds(version: Path, made: str, work: str) -> float:
    """Return the processor time of lines in a process that has a version of the package."""
    code = TIMED.format(made=made, work=work)
    where = {**os.environ, "PYTHONPATH": str(version), "PYTHONSAFEPATH": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=where, check=True, capture_output=True, text=True
    )
    return float(done.stdout.split()[-1])


@pytest.mark.parametrize("name", WORK)
def test_it_takes_no_longer_than_in_0_1_0(root: Path, released: Path, name: str) -> None:
    made, work = WORK[name]
    versions = released, root
    rounds = repeated(lambda: [seconds(version, made, work) for version in versions], ROUNDS)
    before, now = map(min, zip(*rounds, strict=True))
    assert measured(f"as in 0.1.0: {name}", now, beside=("0.1.0", before), most=MOST).met
