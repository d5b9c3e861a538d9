"""The page of reharmonisation."""
