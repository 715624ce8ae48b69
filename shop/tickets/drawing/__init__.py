"""Content drawn on sheets. Nothing here knows a model; what can't be drawn raises `NotPrinted`."""
