"""The values of this floor cannot be changed, but for the ones named here with the reason."""

from __future__ import annotations

from frozen import loose


def test_values_are_frozen() -> None:
    # These gather what a reader meets, event by event.
    assert loose("score") == {"Measure", "Placer", "_Track"}
