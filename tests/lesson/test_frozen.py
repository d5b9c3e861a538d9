"""The values of this floor cannot be changed, but for the ones named here with the reason."""

from __future__ import annotations

from frozen import loose


def test_values_are_frozen() -> None:
    # It gathers the chords that one reason stands for.
    assert loose("lesson") == {"_Reason"}
