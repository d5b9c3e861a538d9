"""Weights that were fitted on what people did, each with its standard error and what speaks for it.

A table (``tables/NAME.json``) holds one model: its source and licence, and a row a feature.  Each
number is rounded to what its error allows.
"""

from functools import cache

from harmonykit.evidence.kinds import read_table
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Weight:
    """What a feature counts.

    Parameters
    ----------
    name, unit : str
        The feature, and the unit in which it is measured.
    value : float
        What one unit counts.
    error : float
        The standard error of the value.
    cases : int
        How many choices or songs speak for it: those in which the feature varies.
    """

    name: str
    unit: str
    value: float
    error: float
    cases: int

    def __str__(self) -> str:
        return f"{self.value:g} ± {self.error:g} ({self.unit}), {self.cases} cases"


@dataclass(frozen=True, slots=True)
class Model:
    """A fitted model: a sum of features, each times its weight.

    Parameters
    ----------
    source, licence : str
        What it was fitted on, and under which licence that stands.
    base : float
        What the sum begins with.
    weights : tuple of Weight
    """

    source: str
    licence: str
    base: float
    weights: tuple[Weight, ...]

    def __getitem__(self, name: str) -> Weight:
        return next(weight for weight in self.weights if weight.name == name)

    @property
    def names(self) -> tuple[str, ...]:
        """The features, in order."""
        return tuple(weight.name for weight in self.weights)

    @property
    def values(self) -> tuple[float, ...]:
        """What a unit of each feature counts, in order."""
        return tuple(weight.value for weight in self.weights)


@cache
def read_model(name: str) -> Model:
    """Return a fitted model: ``"shapes"`` or ``"playability"``.

    Examples
    --------
    >>> read_model("shapes").names
    ('strings', 'inversion', 'hand', 'neck', 'voices')
    """
    table = read_table(name)
    weights = tuple(Weight(**row) for row in table["weights"])
    return Model(table["source"], table["licence"], table["base"], weights)
