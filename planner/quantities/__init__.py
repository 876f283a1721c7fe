"""Units read and shown, sentences with quantities, moments, polygons of limits, effects of uncertainties."""
