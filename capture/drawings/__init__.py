"""The drawings: the person's own vehicle, true to scale, as inline SVG. Pure functions, no files, no web."""
