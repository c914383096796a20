"""What was done stays, who it was goes: people and whole contractors are erased.

Both act as the owner of the tables: the application itself can neither change its log
of changes nor take history away.
"""
