"""Shapes on strings: boxes, necks, sheets."""
