"""The panels of the notebooks, and exercises."""
