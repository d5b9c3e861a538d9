"""How values show themselves that follow from others and are not typed: by what they say."""


class Told:
    """A value whose ``repr`` is what it says, in angle brackets: one short line in a list.

    Examples
    --------
    >>> from harmonykit.theory.diminished import resolutions
    >>> resolutions("Bdim7")[2].moves[:2]
    (<B rises to C>, <D falls to C>)
    """

    __slots__ = ()

    def __repr__(self) -> str:
        return f"<{self}>"
