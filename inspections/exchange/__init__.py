"""Gauges and a heap of old readings in as files, and all of it out again."""
