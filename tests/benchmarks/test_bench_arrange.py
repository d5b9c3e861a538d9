"""The search by length of tune, instrument and k: ratios within one run."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.tune.tune import Tune

BARS = 32


def seconds(tune: Tune, instrument: Instrument, k: int, times: int) -> float:
    """Return the least processor time of a search, its shapes known already."""
    spans = []
    for _ in range(times):
        begun = time.process_time()
        reharmonise(tune, instrument, k=k)
        spans.append(time.process_time() - begun)
    return min(spans)


@pytest.mark.parametrize("k", [1, 5, 10])
@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_cost_grows_in_line_with_the_bars(name: str, k: int) -> None:
    """Ten times the bars take at most twelve times as long."""
    tune, instrument = Tune.read(find_data("tunes", "net_loft_shuffle")), Instrument.named(name)
    assert len(tune.playing) == BARS
    begun = time.process_time()
    reharmonise(tune, instrument, k=k)
    first = time.process_time() - begun
    short = seconds(tune, instrument, k, 5)
    long = seconds(replace(tune, form=tune.form * 10), instrument, k, 3)
    print(
        f"\n{name}, k = {k}: {BARS} bars {short * 1e3:.0f} ms (first {first * 1e3:.0f} ms), "
        f"{10 * BARS} bars {long * 1e3:.0f} ms: {long / short:.1f} times"
    )
    assert long <= 12 * short
