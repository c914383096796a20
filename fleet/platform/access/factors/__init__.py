"""The second factor: who needs one, what counts as one, and how it is shown."""
