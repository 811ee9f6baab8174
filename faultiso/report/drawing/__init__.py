"""Pictures as SVG text, laid out here, drawn to be read on paper in black and white."""
