"""The panels of the notebooks."""
