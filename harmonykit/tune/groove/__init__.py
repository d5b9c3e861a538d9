"""Grooves: what a hand strums and a bass plays, bar after bar, as data."""
