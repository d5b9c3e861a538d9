"""What is known of a message beforehand, as a value."""

from __future__ import annotations

from dataclasses import dataclass

from harmonykit.errors import wrong_kind
from harmonykit.theory.given import as_key
from harmonykit.theory.key import Key
from harmonykit.theory.symbols.dialect import DEFAULT, Dialect
from harmonykit.tune.bar import Meter
from harmonykit.tune.text.changes import read_meter


@dataclass(frozen=True, slots=True)
class Given:
    """What is known of a message beforehand; what is empty is found in it.

    Parameters
    ----------
    key : Key or None
    meter : tuple of int or None
    title : str
    naming : {"", "letters", "german", "latin"}
    dialect : Dialect
    """

    key: Key | None = None
    meter: Meter | None = None
    title: str = ""
    naming: str = ""
    dialect: Dialect = DEFAULT

    @classmethod
    def of(
        cls, key: Key | str | None = None, meter: Meter | str | None = None, naming: str = "",
        title: str = "",
    ) -> Given:  # fmt: skip
        """Make it of values or their text.

        Raises
        ------
        HarmonyError
            If key or metre cannot be read.
        """
        return cls(
            None if key is None or key == "" else as_key(key),
            None if meter is None or meter == "" else _as_meter(meter),
            title,
            naming,
        )


def _as_meter(given: Meter | str) -> Meter:
    if isinstance(given, str):
        return read_meter(given)
    if isinstance(given, tuple) and len(given) == 2:
        return read_meter("/".join(map(str, given)))
    raise wrong_kind(given, "a metre, as text or as two whole numbers", '"3/4" or (3, 4)')
