"""Fretted instruments and their tunings."""
