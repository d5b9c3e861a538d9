"""Everything about a chord, a shape or a progression, as values that commands and panels tell."""
