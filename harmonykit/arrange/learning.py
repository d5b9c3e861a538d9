"""What it costs to play a grip that a class has yet to learn."""

import numpy as np

from harmonykit.arrange.costs import Shapes
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.theory.leading.ways import Costs
from harmonykit.values import dataclass


@dataclass(frozen=True, slots=True)
class Learning:
    """What grips cost beside their price as shapes, a movable one the same at every fret.

    Parameters
    ----------
    prices : tuple of (tuple, int)
        By their forms, as ``grips.grip_form`` has them.
    others : int
        What each grip costs that is not among them, whenever it is played.

    Examples
    --------
    >>> from harmonykit.arrange.weights import Weights
    >>> from harmonykit.fretboard.hands.hand import Limits
    >>> from harmonykit.fretboard.shapes.voicing import Voicing
    >>> shapes = Shapes(tuple(map(Voicing.parse, ("2323", "0003"))), Weights(), Limits())
    >>> Learning((((1, 2, 1, 2), 0),), others=90).extra(shapes).tolist()
    [0, 90]
    """

    prices: tuple[tuple[Fretting, int], ...] = ()
    others: int = 0

    def extra(self, shapes: Shapes) -> Costs:
        """Return what each of some shapes costs beside its price.

        Parameters
        ----------
        shapes : Shapes
        """
        told = dict(self.prices)
        found = [told.get(form, self.others) for form in shapes.grips.forms]
        return np.array(found, dtype=np.int64)
