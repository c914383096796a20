"""Who gets what at each door of the service: a table, tried by attack, and its page."""
