"""Pictures in characters and as SVG."""
