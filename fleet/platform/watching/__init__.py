"""Logs, metrics, health, what is forgotten after its time."""
