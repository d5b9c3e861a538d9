"""One control for the code of a notebook: it is folded, and opened or folded again in one press.

Notebook: 00_start_here
"""

from __future__ import annotations

from typing import Any

from harmonykit.workbook.base.view import CodeView

_READ = (
    "<p>How this is computed stands folded above each result. To read it, choose "
    "<em>View</em>, then <em>Expand All Code</em>.</p>"
)
_WORDS = "how this is computed: View, Expand All Code"


class CodeSwitch:
    """A button, "how this is computed", that opens and folds the code of the notebook it stands in.

    Examples
    --------
    >>> hk.workbook.CodeSwitch()
    CodeSwitch()
    """

    def __init__(self) -> None:
        self._view: CodeView | None = None

    @property
    def view(self) -> CodeView:
        """The live view, made when it is first asked for."""
        if self._view is None:
            self._view = CodeView(title="how this is computed")
        return self._view

    def __repr__(self) -> str:
        return "CodeSwitch()"

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, Any]:
        """Return the button, and what is read where nothing is alive."""
        return {**self.view.as_mime(), "text/html": _READ, "text/plain": _WORDS}
