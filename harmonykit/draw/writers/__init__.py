"""A drawing tree written out: as SVG for a notebook or a page, and as what stands alone."""
