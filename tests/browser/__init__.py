"""Pages in a real browser: by axe-core, narrow, by keyboard alone, without scripts.

Whoever adds a page adds its line to `seen.py`.
"""
