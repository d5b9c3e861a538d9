"""The thin view of the page of reharmonisation: regions of HTML, and what was pressed in them."""

from pathlib import Path
from typing import Any

import traitlets

from harmonykit.draw.base.web import script
from harmonykit.workbook.base.view import PageView, style


class ReharmoniseView(PageView):
    """What is sent to the browser: a region is sent when its HTML is another than before."""

    _esm = script("reharmonise/page.js")
    _css = style("hk-reharmonise", Path(__file__).with_name("reharmonise.css"))
    # The number of the last message after which all was drawn.
    shown = traitlets.Int(0).tag(sync=True)
    text = traitlets.Unicode("").tag(sync=True)
    view = traitlets.Unicode("chart").tag(sync=True)
    exports: Any = traitlets.List().tag(sync=True)
    status: Any = traitlets.Dict().tag(sync=True)
    sounds: Any = traitlets.Dict().tag(sync=True)
    source = traitlets.Unicode("").tag(sync=True)
    settings = traitlets.Unicode("").tag(sync=True)
    direct = traitlets.Unicode("").tag(sync=True)
    plot = traitlets.Unicode("").tag(sync=True)
    choices = traitlets.Unicode("").tag(sync=True)
    table = traitlets.Unicode("").tag(sync=True)
    chart = traitlets.Unicode("").tag(sync=True)
    menu = traitlets.Unicode("").tag(sync=True)
    neck = traitlets.Unicode("").tag(sync=True)
    staff = traitlets.Unicode("").tag(sync=True)
    figure = traitlets.Unicode("").tag(sync=True)
    reasons = traitlets.Unicode("").tag(sync=True)
