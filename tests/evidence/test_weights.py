"""The committed weights: few, rounded, each with its error and what speaks for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.evidence import weights as home
from harmonykit.evidence.kinds import read_table
from harmonykit.evidence.weights import read_model
from harmonykit.fretboard.shapes.ranking import FEATURES

NOTICE = (Path(home.__file__).parent / "NOTICE.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["shapes", "playability"])
def test_a_model_says_where_it_is_from(name: str) -> None:
    model = read_model(name)
    table = read_table(name)
    assert model.source.split(",")[0] in NOTICE
    assert model.licence
    assert (Path(home.__file__).parents[2] / table["script"]).is_file()


@pytest.mark.parametrize("name", ["shapes", "playability"])
def test_a_weight_is_rounded_to_what_its_error_allows(name: str) -> None:
    for weight in read_model(name).weights:
        assert weight.error > 0
        assert weight.cases > 0
        assert float(f"{weight.error:.2g}") == weight.error


def test_what_moves_has_a_price_and_what_stays_a_gain() -> None:
    """No more than a handful of weights from a collection without a licence."""
    model = read_model("shapes")
    assert model.names == FEATURES
    assert len(model.weights) <= 5
    signs = {weight.name: weight.value > 0 for weight in model.weights}
    assert signs == {
        "strings": True,
        "inversion": True,
        "hand": False,
        "neck": False,
        "voices": False,
    }
    assert all(abs(weight.value) > 2 * weight.error for weight in model.weights)
