"""The field's view of the work: scans, steps, places, areas. It keeps nothing of its own yet."""
