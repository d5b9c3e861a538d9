"""Plots of data: what a search or a survey found."""
