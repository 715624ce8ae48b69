"""Conduit bending: runs in, cut lengths and marks out, every answer proven by folding it back up."""
