"""Dialects: settings are checked when they are made."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.theory.symbols.dialect import CHOICES, DEFAULT, Dialect


def test_the_default_is_the_first_choice_of_each() -> None:
    for name, choices in CHOICES.items():
        assert getattr(DEFAULT, name) == choices[0]


@pytest.mark.parametrize("name", CHOICES)
def test_an_unknown_setting_is_said(name: str) -> None:
    with pytest.raises(HarmonyError, match=f"'loud' is not a setting of {name}"):
        Dialect(**{name: "loud"})  # type: ignore[arg-type]


def test_a_dialect_is_a_value() -> None:
    assert Dialect(dim="triad") == Dialect(dim="triad") != DEFAULT
    assert len({Dialect(german=True), Dialect(german=True), DEFAULT}) == 2
