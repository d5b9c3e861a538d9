"""What is known of a message beforehand, as a value."""

from __future__ import annotations

from dataclasses import dataclass

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
            Key.parse(key) if isinstance(key, str) and key else key or None,
            read_meter(meter) if isinstance(meter, str) and meter else meter or None,
            title,
            naming,
        )
