"""At home: all pieces, drawn to scale on a shelf and as a list; found, changed together, taken along."""
