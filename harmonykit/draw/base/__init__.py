"""What all figures are made of: canvas, colours, fonts, words."""
