"""The view of the page: nothing from the network, colours as variables, regions one and all."""

from __future__ import annotations

import re
from pathlib import Path

import harmonykit.workbook
from harmonykit.workbook.base.view import ReharmoniseView

HERE = Path(harmonykit.workbook.__file__).parent
SCRIPT = str(ReharmoniseView._esm)


def test_nothing_comes_from_the_network() -> None:
    style = str(ReharmoniseView._css)
    assert "http" not in SCRIPT and "import(" not in SCRIPT and "import " not in SCRIPT
    assert {url[:9] for url in re.findall(r"url\(([^)]*)", style)} == {"data:font"}


def test_a_dark_notebook_has_its_own_colours() -> None:
    own = (HERE / "base" / "reharmonise.css").read_text(encoding="utf-8")
    assert not re.findall("#[0-9a-f]{6}", own)
    assert "data-jp-theme-light='false'] .hk-reharmonise" in str(ReharmoniseView._css)


def test_the_script_puts_in_every_region_that_is_sent() -> None:
    found = re.search(r"const REGIONS = \[(.*?)\]", SCRIPT, re.DOTALL)
    assert found
    regions = re.findall(r'"(\w+)"', found[1])
    traits = set(ReharmoniseView.class_trait_names(sync=True))
    assert set(regions) <= traits
    for region in regions:
        assert f'data-region="{region}"' in SCRIPT
