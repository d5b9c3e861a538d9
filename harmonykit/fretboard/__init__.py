"""Strings, hands and shapes."""
