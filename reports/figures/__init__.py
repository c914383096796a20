"""Figures: one content record in, one vector drawing out, for PDF and for SVG."""
