"""Tests on what a real installation runs on: server, brokers, its own processes."""
